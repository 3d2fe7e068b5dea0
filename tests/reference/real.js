// real.js - what this program reads of real files, against what independent
// readers read.  Usage: node real.js BUILD REAL
//
// REAL holds the files and expected.jsonl, a line a file: counts and SHA-1
// digests that two independent readers (music21 and a small reader on Python's
// xml.etree) agree on; its README states the rules.  Every file is indexed in
// a library of its own making and asked for with `cellar solo --format json`.
"use strict";
const fs = require("fs");
const os = require("os");
const path = require("path");
const crypto = require("crypto");
const { spawnSync } = require("child_process");

const [build, real] = process.argv.slice(2);
const library = fs.mkdtempSync(path.join(os.tmpdir(), "cellar-real-"));
process.on("exit", () => fs.rmSync(library, { recursive: true }));

function run(program, args) {
  const got = spawnSync(path.resolve(build, program), args, {
    encoding: "utf8",
    maxBuffer: 1 << 28,
  });
  if (got.error) throw got.error;
  return got;
}

const digest = (items) =>
  crypto.createHash("sha1").update(items.join(",")).digest("hex");

const DIGESTS = {
  pitch: (s) => s.notes.map((n) => n.midi),
  onset: (s) => s.notes.map((n) => `${n.midi}@${n.bar_index}+${n.onset}`),
  dur: (s) => s.notes.map((n) => n.duration),
  spell: (s) => s.notes.map((n) => n.written),
  degree: (s) =>
    s.notes.map((n) => `${n.midi}/${n.semitones === null ? "-" : n.semitones}`),
  chord: (s) =>
    s.chords.map(
      (c) =>
        `${c.bar_index}+${c.onset}=` +
        (c.root === null ? "-" : `${c.root}:${c.kind}:${c.bass}`)
    ),
};

const COUNTS = {
  notes: (s) => s.notes.length,
  chords: (s) => s.chords.length,
  measures: (s) => s.solo.bars,
  grace: (s) => s.solo.grace,
  rests: (s) => s.solo.rests,
  fifths: (s) => s.solo.fifths,
  mode: (s) => s.solo.mode,
  time: (s) => s.solo.metre,
  title: (s) => s.solo.title,
  transpose: (s) => s.solo.transpose,
};

function differences(expected) {
  const got = run("cellar", [
    "solo", expected.file, "--library", library, "--format", "json",
  ]);
  if (got.status !== 0)
    return [`exit status ${got.status}: ${got.stderr.trim()}`];
  const solo = JSON.parse(got.stdout);
  const wrong = [];
  for (const [name, value] of Object.entries(COUNTS))
    if ((value(solo) ?? null) !== expected[name])
      wrong.push(`${name}: ${value(solo)}, expected ${expected[name]}`);
  for (const [name, items] of Object.entries(DIGESTS))
    if (digest(items(solo)) !== expected[name])
      wrong.push(`${name} differ: ${items(solo).slice(0, 12).join(",")}`);
  if (solo.solo.sha256.length !== 64) wrong.push("no sha256");
  return wrong;
}

const lines = fs
  .readFileSync(path.join(real, "expected.jsonl"), "utf8")
  .split("\n")
  .filter((line) => line);
fs.cpSync(real, library, { recursive: true });
// Copies keep the mode of their source, which may forbid writing.
fs.chmodSync(library, 0o755);
const indexed = run("cellar-index", [library, "--warnings"]);
console.log(indexed.stdout.trim());
let passed = 0;
let failed = 0;
for (const line of lines) {
  const expected = JSON.parse(line);
  const wrong = differences(expected);
  if (wrong.length === 0) passed++;
  else failed++;
  for (const text of wrong) console.log(`${expected.file}: ${text}`);
}
if (indexed.status !== 0) {
  console.log(`cellar-index: exit status ${indexed.status}`);
  failed++;
}
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed ? 1 : 0);
