// cells.js - `cellar cells --all` counted again, from `cellar solo` alone.
// Usage: node cells.js CELLAR LIBRARY VERSUS-PERFORMER
// The rules are those of the interface; nothing of the program's counting is
// used.  Classes are read from the suffixes that occur in corpus-demo.
'use strict';
const { execFileSync } = require('child_process');

const [cellar, library, versus] = process.argv.slice(2);
const ask = (...args) => JSON.parse(execFileSync(cellar,
  [...args, '--library', library, '--format', 'json'],
  { maxBuffer: 1 << 30, encoding: 'utf8' }));

const suffixOf = symbol => symbol.replace(/^[A-G][b#]*/, '')
  .replace(/\/[A-G][b#]*$/, '');

function classOf(symbol) {
  const s = suffixOf(symbol);
  if (/^m7b5/.test(s)) return 'half-diminished';
  if (/^dim|^o/.test(s)) return 'diminished';
  if (/^m\(maj7\)|^mmaj7/.test(s)) return 'minor-major';
  if (/^maj7?#5|^aug|^\+$/.test(s)) return 'augmented';
  if (/^m(?!aj)/.test(s)) return 'minor';
  if (s === '' || /^maj|^6/.test(s)) return 'major';
  if (/^sus/.test(s)) return 'suspended';
  if (/^(7|9|11|13)/.test(s)) return 'dominant';
  throw new Error(`which class is ${symbol}?`);
}

const value = text => { const [n, d] = text.split('/'); return n / d; };

function strength(note, metre) {
  const onset = value(note.onset);
  const beats = Number(metre.split('/')[0]); // of quarters, in corpus-demo
  if (onset === 0) return 4;
  if (beats % 2 === 0 && onset === beats / 2) return 3;
  if (Number.isInteger(onset)) return 2;
  return Number.isInteger(2 * onset) ? 1 : 0;
}

// The chord a note belongs to: {name, root, class}, or null.
function heard(note) {
  const over = note.anticipates || note;
  if (over.chord === null || over.chord === 'N.C.') return null;
  return { name: `${over.root} ${suffixOf(over.chord)}`, root: over.root,
    class: classOf(over.chord) };
}

// The chord under most notes; of several the one with the strongest note.
function windowChord(window) {
  let best = null;
  for (const note of window) {
    if (!note.heard) continue;
    const votes = window.filter(n => n.heard &&
      n.heard.name === note.heard.name).length;
    if (!best || votes > best.votes ||
        (votes === best.votes && note.strength > best.strength))
      best = { votes, strength: note.strength, chord: note.heard };
  }
  return best && best.chord;
}

function count(solos) {
  const cells = new Map();
  const windows = { 3: 0, 4: 0, 5: 0, 6: 0, 7: 0 };
  for (const { solo, notes } of solos)
    for (let n = 3; n <= 7; n++)
      for (let i = 0; i + n <= notes.length; i++) {
        const window = notes.slice(i, i + n);
        const chord = windowChord(window);
        if (!chord) continue;
        const start = (window[0].midi - chord.root + 120) % 12;
        const steps = window.slice(1).map((x, k) => x.midi - window[k].midi);
        const key = `${chord.class} ${start}: ${steps}`;
        windows[n]++;
        if (!cells.has(key))
          cells.set(key, { n, count: 0, solos: new Set(),
            keys: Array(12).fill(0) });
        const cell = cells.get(key);
        cell.count++;
        cell.solos.add(solo.path);
        cell.keys[chord.root]++;
      }
  return { cells, windows };
}

function ratio(a, A, b, B) {
  const term = (o, e) => o > 0 ? o * Math.log(o / e) : 0;
  const p = (a + b) / (A + B);
  const g = 2 * (term(a, A * p) + term(b, B * p) +
    term(A - a, A * (1 - p)) + term(B - b, B * (1 - p)));
  return a / A < b / B ? -g : g;
}

function load(filter) {
  return ask('solos', '--limit', '0', ...filter).solos.map(({ path }) => {
    const { solo, notes } = ask('solo', path);
    return { solo, notes: notes.map(n => ({ midi: n.midi, heard: heard(n),
      strength: strength(n, solo.metre) })) };
  });
}

let wrong = 0;
function same(what, ours, theirs) {
  if (JSON.stringify(ours) === JSON.stringify(theirs)) return;
  if (wrong++ < 10)
    console.log(`${what}: ${JSON.stringify(theirs)}, but counted ` +
      JSON.stringify(ours));
}

function check(answer, mine, other) {
  same('windows', mine.windows, answer.windows);
  same('total', mine.cells.size, answer.total);
  same('listed', mine.cells.size, answer.cells.length);
  for (const cell of answer.cells) {
    const key = `${cell.class} ${cell.start_semitones}: ${cell.intervals}`;
    const own = mine.cells.get(key);
    if (!own) { same(key, null, cell.count); continue; }
    same(`count of ${key}`, own.count, cell.count);
    same(`solos of ${key}`, own.solos.size, cell.solos);
    same(`keys of ${key}`, own.keys, cell.keys);
    same(`beats of ${key}`, own.count,
      Object.values(cell.beats).reduce((x, y) => x + y));
    same(`rhythms of ${key}`, own.count,
      cell.rhythms.reduce((x, y) => x + y.count, 0));
    same(`start of ${key}`, cell.degrees[0], cell.start);
    if (!other) { same('distinct', null, cell.distinct); continue; }
    const there = other.cells.get(key);
    const g = ratio(own.count, mine.windows[own.n], there ? there.count : 0,
      other.windows[own.n]);
    if (Math.abs(g - cell.distinct) > 0.0006)
      same(`distinct of ${key}`, g, cell.distinct);
  }
}

const all = load([]);
const theirs = all.filter(s => s.solo.performer === versus);
const ours = all.filter(s => s.solo.performer !== versus);
check(ask('cells', '--all', '--limit', '0'), count(all), null);
check(ask('cells', '--all', '--limit', '0', '--where',
  `performer=${versus}`, '--versus', 'others'), count(theirs), count(ours));
console.log(wrong ? `${wrong} differ` : `${all.length} solos: the same`);
process.exit(wrong ? 1 : 0);
