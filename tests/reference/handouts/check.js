// check.js - exported excerpts as other programs read them.
// Usage: node check.js BUILD
//
// corpus-demo is indexed, and the lead sheets in the folder CELLAR_REAL where
// there is one; questions are exported in every way, and what is read from the
// files is compared with the notes of `cellar solo`:
//
// 1. MusicXML by the npm packages verovio and musicxml-io, note for note the
//    same written pitches and onsets;
// 2. MusicXML by cellar-index: the same notes, chords and degrees;
// 3. MusicXML against the schema of the standard, where CELLAR_XSD names it;
// 4. ABC by abcm2ps, which must have nothing to say, and abc2midi, whose
//    pitches must be the sounding ones.
import { execFileSync, spawnSync } from "node:child_process";
import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";
import * as musicxmlIo from "musicxml-io";
import createVerovioModule from "verovio/wasm";
import { VerovioToolkit } from "verovio/esm";

const build = process.argv[2] && path.resolve(process.argv[2]);
if (!build) {
  console.error("usage: node check.js BUILD");
  process.exit(2);
}
const here = path.dirname(fileURLToPath(import.meta.url));
const root = path.resolve(here, "../../..");
const work = fs.mkdtempSync(path.join(os.tmpdir(), "cellar-handouts-"));
process.on("exit", () => fs.rmSync(work, { recursive: true, force: true }));
const library = path.join(work, "library");

let passed = 0;
let failed = 0;
function check(ok, what) {
  if (ok) passed++;
  else {
    failed++;
    console.log(`FAILED ${what}`);
  }
}

function cellar(...args) {
  return execFileSync(
    path.join(build, "cellar"),
    ["--library", library, ...args],
    { encoding: "utf8", maxBuffer: 1 << 28 },
  );
}
function index(folder) {
  execFileSync(path.join(build, "cellar-index"), ["--quiet", folder]);
}

// Make the files of FOLDER the library.
function take(folder) {
  fs.rmSync(library, { recursive: true, force: true });
  fs.cpSync(folder, library, { recursive: true });
  fs.rmSync(path.join(library, ".cellar"), { recursive: true, force: true });
  solos.clear();
  starts.clear();
  index(library);
}

// --- fractions ---------------------------------------------------------------

const gcd = (a, b) => (b ? gcd(b, a % b) : Math.abs(a));
const make = (n, d) => {
  const g = gcd(n, d) || 1;
  return [n / g, d / g];
};
const read = (text) => make(...text.split("/").map(Number));
const add = (a, b) => make(a[0] * b[1] + b[0] * a[1], a[1] * b[1]);
const sub = (a, b) => add(a, [-b[0], b[1]]);
const less = (a, b) => a[0] * b[1] < b[0] * a[1];
const text = (a) => `${a[0]}/${a[1]}`;

// --- what is to be expected ----------------------------------------------------

const solos = new Map();
function solo(file) {
  if (!solos.has(file)) {
    const got = JSON.parse(cellar("solo", file, "--format", "json"));
    solos.set(file, got);
  }
  return solos.get(file);
}

// Where each bar of a solo starts, in quarters, as its file has it: read by
// musicxml-io, not by us.
const starts = new Map();
function barStarts(file) {
  if (starts.has(file)) return starts.get(file);
  const bytes = fs.readFileSync(path.join(library, file));
  const score = musicxmlIo.parseAuto(
    file.endsWith(".mxl") ? new Uint8Array(bytes) : bytes.toString("utf8"),
  );
  const list = [];
  let at = [0, 1];
  let divisions = 1;
  for (const measure of score.parts[0].measures) {
    if (measure.attributes?.divisions) divisions = measure.attributes.divisions;
    list.push(at);
    at = add(at, make(measureLength(measure), divisions));
  }
  list.push(at);
  starts.set(file, list);
  return list;
}

// In divisions: how far the cursor goes.
function measureLength(measure) {
  let at = 0;
  let most = 0;
  for (const entry of measure.entries) {
    if (entry.type === "backup") at -= entry.duration;
    else if (entry.type === "forward") at += entry.duration;
    else if (entry.type === "note" && !entry.chord && !entry.grace)
      at += entry.duration;
    most = Math.max(most, at);
  }
  return most;
}

// The notes that an excerpt of HIT holds: [sounding MIDI, quarters from its
// start].  A note that is held into it is cut there.
function expected(hit, context) {
  const whole = solo(hit.path);
  const begin = barStarts(hit.path);
  const last = whole.notes[hit.note_indexes.at(-1)].bar_index;
  const from = Math.max(0, hit.bar_index - context);
  const to = Math.min(begin.length - 2, last + context);
  const out = [];
  whole.notes.forEach((note, i) => {
    const at = add(begin[note.bar_index], read(note.onset));
    let end = add(at, read(note.duration));
    const next = whole.notes[i + 1];
    if (next) {
      const other = add(begin[next.bar_index], read(next.onset));
      if (less(other, end)) end = other;
    }
    if (note.bar_index >= from && note.bar_index <= to)
      out.push([note.midi, sub(at, begin[from])]);
    else if (less(at, begin[from]) && less(begin[from], end))
      out.push([note.midi, [0, 1]]);
  });
  return { notes: out, length: sub(begin[to + 1], begin[from]) };
}

// All excerpts one after the other.
function expectedFile(hits, context) {
  let at = [0, 1];
  const out = [];
  for (const hit of hits) {
    const excerpt = expected(hit, context);
    for (const [midi, onset] of excerpt.notes) out.push([midi, add(at, onset)]);
    at = add(at, excerpt.length);
  }
  return out;
}

const line = (notes) =>
  notes.map(([midi, onset]) => `${midi}@${text(onset)}`).join(" ");

function firstDifference(a, b) {
  const left = a.split(" ");
  const right = b.split(" ");
  const i = left.findIndex((note, k) => note !== right[k]);
  return `note ${i} of ${left.length}/${right.length}: ${left[i]} ${right[i]}`;
}

// --- readers --------------------------------------------------------------------

const steps = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };

// musicxml-io: the written notes, ties joined, moved to what sounds.
function byMusicxmlIo(xml) {
  const score = musicxmlIo.parse(xml);
  const out = [];
  let at = 0;
  let divisions = 1;
  let transpose = 0;
  for (const measure of score.parts[0].measures) {
    const attributes = measure.attributes ?? {};
    if (attributes.divisions) divisions = attributes.divisions;
    const moved = Array.isArray(attributes.transpose)
      ? attributes.transpose[0]
      : attributes.transpose;
    if (moved)
      transpose = moved.chromatic + 12 * (moved.octaveChange ?? 0);
    for (const entry of measure.entries) {
      if (entry.type !== "note") continue;
      const pitch = entry.pitch;
      const tied = JSON.stringify(entry.tie ?? entry.ties ?? "");
      if (pitch && !tied.includes('"stop"'))
        out.push([
          12 * (pitch.octave + 1) +
            steps[pitch.step] +
            (pitch.alter ?? 0) +
            transpose,
          make(at, divisions),
        ]);
      at += entry.duration;
    }
  }
  return out;
}

const verovio = new VerovioToolkit(await createVerovioModule());
verovio.setOptions({ breaks: "none" });

// verovio gives written pitches and onsets in quarters, of tied notes too;
// NOTES says which those are.
function byVerovio(xml, notes) {
  if (!verovio.loadData(xml)) return null;
  const out = [];
  for (const event of verovio.renderToTimemap())
    for (const id of event.on ?? [])
      out.push([
        verovio.getMIDIValuesForElement(id).pitch,
        event.qstamp,
      ]);
  if (out.length !== notes.length) return null;
  return out.filter((note, i) => !notes[i].tied);
}

// --- MusicXML -------------------------------------------------------------------

const demoQuestions = [
  { args: ["5 b3 2 1", "--over", "m7", "--reharmonized"], limit: 200 },
  { args: ["3 5 b7 b9", "--over", "7"], limit: 40 },
  { args: ["4 #9 3", "--over", "maj7"], limit: 40 },
  { args: ["-1 1 2"], limit: 60 },
  { args: ["b7 1 b3 1", "--over", "m7", "--metre", "3/4"], limit: 20 },
  { args: ["-2 ? -2", "--title", "waltz"], limit: 30 },
];
const realQuestions = [
  { args: ["-2 -2"], limit: 60 },
  { args: ["0 0 0"], limit: 40 },
  { args: ["1 1"], limit: 40 },
  { args: ["4 3"], limit: 40 },
  { args: ["-1 -2"], limit: 40 },
];
const readers = ["concert", "Bb", "Eb", "F", "bass"];

function sameAsVerovio(got, want, lowered) {
  return (
    got.length === want.length &&
    got.every(
      ([midi, at], i) =>
        midi === want[i][0] - lowered[i] &&
        Math.abs(at - want[i][1][0] / want[i][1][1]) < 1e-4,
    )
  );
}

function checkMusicxml(question, reader, context) {
  const what = `${question.args.join(" ")} for ${reader}, ${context} around`;
  const common = [
    "find", ...question.args, "--limit", String(question.limit),
  ];
  let hits;
  try {
    hits = JSON.parse(cellar(...common, "--format", "json")).hits;
  } catch {
    return check(false, `${what}: nothing found`);
  }
  // Reharmonized uses stand together by their relation.
  if (question.args.includes("--reharmonized")) {
    const groups = JSON.parse(cellar(...common, "--format", "json")).relations;
    const order = groups.map((g) => g.relation);
    hits = order.flatMap((name) => hits.filter((h) => h.relation === name));
  }
  const file = path.join(work, "handout.musicxml");
  cellar(...common, "--format", "musicxml", "--for", reader,
         "--context", String(context), "--output", file);
  const xml = fs.readFileSync(file, "utf8");
  const want = expectedFile(hits, context);
  const io = byMusicxmlIo(xml);
  check(line(io) === line(want),
        `${what}: musicxml-io: ${firstDifference(line(io), line(want))}`);
  const written = writtenNotes(xml);
  const drawn = byVerovio(xml, written);
  const lowered = written.filter((n) => !n.tied).map((n) => n.move);
  check(drawn && sameAsVerovio(drawn, want, lowered),
        `${what}: verovio: ${drawn?.length} of ${want.length}`);
  checkAgain(what, file, want, hits);
  checkSchema(what, file);
}

// Of each written note: whether it is tied to the one before, and the
// semitones to its sound.
function writtenNotes(xml) {
  const out = [];
  let move = 0;
  for (const part of xml.split(/(?=<transpose>)|(?=<note>)/)) {
    const number = (name) =>
      Number(part.match(`<${name}>(-?\\d+)</${name}>`)?.[1] ?? 0);
    if (part.startsWith("<transpose>"))
      move = number("chromatic") + 12 * number("octave-change");
    if (part.startsWith("<note>") && part.includes("<pitch>"))
      out.push({ tied: part.includes('<tie type="stop"'), move });
  }
  return out;
}

// cellar-index: the same notes, and every fragment over the same chord.
function checkAgain(what, file, want, hits) {
  const again = path.join(work, "again");
  fs.rmSync(again, { recursive: true, force: true });
  fs.mkdirSync(again);
  fs.copyFileSync(file, path.join(again, "handout.musicxml"));
  index(again);
  const got = JSON.parse(
    execFileSync(path.join(build, "cellar"),
      ["--library", again, "solo", "handout", "--format", "json"],
      { encoding: "utf8", maxBuffer: 1 << 28 }));
  const midi = got.notes.map((note) => note.midi).join(" ");
  check(midi === want.map(([m]) => m).join(" "), `${what}: cellar-index`);
  let at = 0;
  const lost = hits.filter((hit) => {
    const notes = hit.notes.length;
    const place = findCell(got.notes, hit, at, solo(hit.path).notes);
    at = place < 0 ? at : place + notes;
    return place < 0;
  });
  check(lost.length === 0,
        `${what}: ${lost.length} fragments are read otherwise: ` +
        `${lost[0]?.path} bar ${lost[0]?.bar} ${lost[0]?.degrees}`);
}

// Where the notes of HIT stand in NOTES at or after AT with the same chord
// and degree each; -1 nowhere.
function findCell(notes, hit, at, source) {
  const cell = hit.note_indexes.map((i) => source[i]);
  const key = (n) => `${n.midi} ${n.semitones} ${n.degree} ${n.chord}`;
  for (let i = at; i + cell.length <= notes.length; i++)
    if (cell.every((n, k) => key(n) === key(notes[i + k]))) return i;
  return -1;
}

function checkSchema(what, file) {
  const xsd = process.env.CELLAR_XSD;
  if (!xsd) return;
  const run = spawnSync("xmllint",
    ["--nonet", "--noout", "--schema", xsd, file],
    { encoding: "utf8",
      env: { ...process.env,
             XML_CATALOG_FILES: path.join(path.dirname(xsd), "catalog.xml") } });
  check(run.status === 0, `${what}: schema: ${run.stderr?.split("\n")[0]}`);
}

// --- ABC -------------------------------------------------------------------------

function has(program) {
  return spawnSync("sh", ["-c", `command -v ${program}`]).status === 0;
}

// The pitches of the first track with notes on channel 1, in order.
function midiPitches(file) {
  const d = fs.readFileSync(file);
  const out = [];
  for (let pos = 14; pos < d.length; ) {
    const end = pos + 8 + d.readUInt32BE(pos + 4);
    let p = pos + 8;
    let status = 0;
    let time = 0;
    while (p < end) {
      let delta = 0;
      let byte;
      do {
        byte = d[p++];
        delta = (delta << 7) | (byte & 127);
      } while (byte & 128);
      time += delta;
      if (d[p] & 128) status = d[p++];
      if (status === 0xff) {
        p++;
        p += 1 + d[p];
      } else {
        const kind = status & 0xf0;
        if (kind === 0x90 && d[p + 1] > 0) out.push([time, d[p]]);
        p += kind === 0xc0 || kind === 0xd0 ? 1 : 2;
      }
    }
    pos = end;
  }
  return out.sort((a, b) => a[0] - b[0]).map((note) => note[1]);
}

// Words stand under the lines of notes that follow the words before: each line
// up to the last with words has as many as it has notes (ABC 2.1, 5.1).
function checkWords(what, abc) {
  for (const tune of abc.split(/\n\n(?=X:)/).slice(1)) {
    const lines = tune.split("\n").filter((line) => !/^[A-Z]:/.test(line));
    const last = lines.findLastIndex((line) => line.startsWith("w:"));
    let good = last >= 0;
    for (let i = 0; i < last; i += 2) {
      const notes = lines[i]
        .replace(/"[^"]*"|\[[A-Z]:[^\]]*\]|&[^|]*/g, "")
        .match(/[A-Ga-g]/g) ?? [];
      const words = lines[i + 1].slice(2).split(/[ |]+/).filter(Boolean);
      good = good && lines[i + 1].startsWith("w:") &&
        words.length === notes.length;
    }
    check(good, `${what}: words of ${tune.split("\n")[1]}`);
  }
}

function checkAbc(question, reader) {
  const what = `${question.args.join(" ")} for ${reader}`;
  const common = ["find", ...question.args, "--limit", "20"];
  const hits = JSON.parse(cellar(...common, "--format", "json")).hits;
  const file = path.join(work, "handout.abc");
  cellar(...common, "--format", "abc", "--for", reader, "--context", "6",
         "--output", file);
  const engraved = spawnSync("abcm2ps", ["-q", "-O", "/dev/null", file],
                             { encoding: "utf8" });
  check(engraved.status === 0 && !engraved.stderr.trim(),
        `${what}: abcm2ps: ${engraved.stderr.split("\n")[0]}`);
  checkWords(what, fs.readFileSync(file, "utf8"));
  // Without chord symbols, which abc2midi would play.
  const plain = path.join(work, "plain.abc");
  fs.writeFileSync(plain,
    fs.readFileSync(file, "utf8").replace(/"[^"\n]*"/g, ""));
  hits.forEach((hit, i) => {
    const midi = path.join(work, "tune.mid");
    spawnSync("abc2midi", [plain, String(i + 1), "-o", midi, "-silent"]);
    const got = midiPitches(midi).join(" ");
    const want = expected(hit, 6).notes.map(([m]) => m).join(" ");
    check(got === want, `${what}: abc2midi: tune ${i + 1}: ${got} / ${want}`);
  });
}

// --- all of it --------------------------------------------------------------------

const canAbc = has("abcm2ps") && has("abc2midi");

function checkAll(folder, questions) {
  take(folder);
  questions.forEach((question, q) =>
    readers.forEach((reader, r) => {
      checkMusicxml(question, reader, (q + r) % 3);
      if (canAbc && !question.args.includes("--reharmonized"))
        checkAbc(question, reader);
    }));
}

checkAll(path.join(root, "corpus-demo"), demoQuestions);
const real = process.env.CELLAR_REAL;
if (real && fs.existsSync(path.join(real, "leadsheets")))
  checkAll(path.join(real, "leadsheets"), realQuestions);
else console.log("left out: exports of real files (no CELLAR_REAL)");
if (!process.env.CELLAR_XSD)
  console.log("left out: exports against the schema (no CELLAR_XSD)");
if (!canAbc) {
  console.log("ABC could not be checked: abcm2ps or abc2midi is missing");
  failed++;
}

console.log(`${passed} passed, ${failed} failed`);
process.exit(failed > 0 ? 1 : 0);
