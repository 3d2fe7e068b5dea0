// check.js - exported pages in a browser, with the network off.
// Usage: node check.js BUILD
//
// Chromium (Debian package chromium) opens the page from a file: nothing may
// be asked for or complained of, the contents lead to the excerpts, the listen
// buttons play, nothing runs text that came from a file, and on paper no staff
// is cut off.
import { execFileSync } from "node:child_process";
import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

const build = process.argv[2] && path.resolve(process.argv[2]);
if (!build) {
  console.error("usage: node check.js BUILD");
  process.exit(2);
}
const browserPath = "/usr/bin/chromium";
const here = path.dirname(fileURLToPath(import.meta.url));
const root = path.resolve(here, "../../..");
const work = fs.mkdtempSync(path.join(os.tmpdir(), "cellar-pages-"));
process.on("exit", () => fs.rmSync(work, { recursive: true, force: true }));

let passed = 0;
let failed = 0;
function check(ok, what) {
  if (ok) passed++;
  else {
    failed++;
    console.log(`FAILED ${what}`);
  }
}

// Two solos of the demo get titles that a page must show as text.
const library = path.join(work, "library");
fs.cpSync(path.join(root, "corpus-demo"), library, { recursive: true });
fs.rmSync(path.join(library, ".cellar"), { recursive: true, force: true });
const titles = {
  "tobiah-wrenmoor/borrowed-ladder.musicxml": "<script>alert(1)</script>",
  "tobiah-wrenmoor/twenty-steps-to-the-pantry.musicxml":
    "\u05e1\u05d5\u05dc\u05dd <b>&amp;",
};
const escape = (text) => text.replace(/&/g, "&amp;").replace(/</g, "&lt;");
for (const [name, title] of Object.entries(titles)) {
  const file = path.join(library, name);
  const score = fs.readFileSync(file, "utf8");
  fs.writeFileSync(
    file,
    score.replace(/<(work-title|movement-title)>[^<]*/g,
                  (all, tag) => `<${tag}>${escape(title)}`),
  );
}
execFileSync(path.join(build, "cellar-index"), ["--quiet", library]);

function write(name, ...args) {
  const file = path.join(work, name);
  execFileSync(path.join(build, "cellar"), [
    "--library", library, "find", ...args,
    "--format", "html", "--output", file,
  ]);
  return file;
}

const browser = await chromium.launch({
  executablePath: browserPath,
  args: ["--no-sandbox", "--disable-gpu", "--autoplay-policy=no-user-gesture-required"],
});

async function open(file) {
  const context = await browser.newContext({
    offline: true,
    viewport: { width: 1000, height: 800 },
  });
  const page = await context.newPage();
  const noise = [];
  page.on("console", (message) => noise.push(message.text()));
  page.on("pageerror", (error) => noise.push(String(error)));
  page.on("dialog", (dialog) => {
    noise.push(`dialog ${dialog.message()}`);
    dialog.dismiss();
  });
  page.on("request", (request) => {
    if (request.url() !== pathToFileURL(file).href)
      noise.push(`request ${request.url()}`);
  });
  // Count the tones that are started.
  await page.addInitScript(() => {
    window.tones = 0;
    const start = OscillatorNode.prototype.start;
    OscillatorNode.prototype.start = function (...args) {
      window.tones++;
      return start.apply(this, args);
    };
  });
  await page.goto(pathToFileURL(file).href);
  return { context, page, noise };
}

async function checkPage(what, file, excerpts) {
  const { context, page, noise } = await open(file);
  const figures = page.locator("figure");
  check((await figures.count()) === excerpts,
        `${what}: ${await figures.count()} figures of ${excerpts}`);
  const pictures = await figures.evaluateAll((list) =>
    list.map((figure) => figure.querySelectorAll("svg").length));
  check(pictures.every((n) => n === 1), `${what}: pictures ${pictures}`);
  const named = await page.locator("svg").evaluateAll((list) =>
    list.every((svg) => svg.getAttribute("aria-label")));
  check(named, `${what}: every picture has a text`);
  const ids = await page.locator("[id]").evaluateAll((list) =>
    list.map((node) => node.id));
  check(new Set(ids).size === ids.length, `${what}: ids are unique`);

  await page.locator("nav a").last().click();
  check(await page.evaluate(() => {
    const box = document.querySelector("figure:last-of-type")
      .getBoundingClientRect();
    return box.top < innerHeight && box.bottom > 0;
  }), `${what}: the contents lead to the last excerpt`);

  const button = page.locator("figure button").first();
  const notes = (await button.getAttribute("data-notes")).split(" ").length;
  await button.click();
  check((await button.getAttribute("aria-pressed")) === "true",
        `${what}: the button shows that it plays`);
  check((await page.evaluate(() => window.tones)) === notes,
        `${what}: every note is played`);
  await button.click();
  check((await button.getAttribute("aria-pressed")) === "false",
        `${what}: the button stops`);

  for (const colorScheme of ["light", "dark"]) {
    await page.emulateMedia({ colorScheme });
    const same = await page.locator("figure svg").first().evaluate((svg) =>
      getComputedStyle(svg).color === getComputedStyle(document.body).color);
    check(same, `${what}: notes have the colour of text, ${colorScheme}`);
  }
  await page.emulateMedia({ media: "print", colorScheme: "light" });
  await page.setViewportSize({ width: 680, height: 1000 }); // A4 less margins
  const cut = await page.locator("figure svg").evaluateAll((list) =>
    list.filter((svg) => {
      const box = svg.getBoundingClientRect();
      return box.left < -0.5 || box.right > innerWidth + 0.5 ||
        box.height > innerHeight;
    }).length);
  check(cut === 0, `${what}: ${cut} staves are cut on paper`);
  check((await page.locator("figure button").first().isVisible()) === false,
        `${what}: no buttons on paper`);
  const pdf = await page.pdf({ format: "A4" });
  check(pdf.length > 5000, `${what}: prints`);
  check(noise.length === 0, `${what}: ${noise.join("; ")}`);
  await context.close();
}

const hits = (...args) =>
  JSON.parse(
    execFileSync(path.join(build, "cellar"), [
      "--library", library, "find", ...args, "--format", "json",
    ], { encoding: "utf8", maxBuffer: 1 << 28 }),
  ).hits.length;

const cell = ["5 b3 2 1", "--over", "m7", "--reharmonized"];
for (const reader of ["concert", "Bb", "Eb", "F", "bass"])
  await checkPage(`for ${reader}`,
                  write(`${reader}.html`, ...cell, "--for", reader), 20);
await checkPage("practice",
                write("practice.html", ...cell, "--practice", "fourths",
                      "--context", "20", "--limit", "4"), 4 + 2);
await checkPage("all", write("all.html", ...cell, "--limit", "0"),
                hits(...cell, "--limit", "0"));
await checkPage("waltz", write("waltz.html", "-2", "-2", "--metre", "3/4"),
                hits("-2", "-2", "--metre", "3/4"));

// Titles are text, whatever is in them.
for (const title of Object.values(titles)) {
  const file = write("title.html", "1 2 3 5", "--title", title.slice(0, 6));
  const { context, page, noise } = await open(file);
  const text = await page.locator("figcaption").first().textContent();
  check(text.includes(title.replace("&amp;", "&")) || text.includes(title),
        `${title}: shown as ${text}`);
  check((await page.locator("script").count()) === 1, `${title}: one script`);
  check((await page.locator("figcaption b").count()) === 0, `${title}: no tag`);
  check(noise.length === 0, `${title}: ${noise.join("; ")}`);
  await context.close();
}
await browser.close();

console.log(`${passed} passed, ${failed} failed`);
process.exit(failed > 0 ? 1 : 0);
