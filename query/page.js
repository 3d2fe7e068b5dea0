// The listen buttons.  Each holds its notes as "start,length,midi" in
// thousandths of a quarter, and the tempo in quarters a minute.
(function () {
  "use strict";
  var context = null, playing = null, sounds = [], timer = 0;
  var swing = document.getElementById("swing");

  // The second of two even eighths comes late; other notes stay.
  function swung(t) {
    var beat = Math.floor(t / 1000), inside = t - 1000 * beat;
    return inside === 500 ? 1000 * beat + 10 * Number(swing.value) : t;
  }
  function stop() {
    sounds.forEach(function (sound) { try { sound.stop(); } catch (e) { } });
    sounds = [];
    clearTimeout(timer);
    if (playing) playing.setAttribute("aria-pressed", "false");
    playing = null;
  }
  function sound(midi, from, to) {
    var tone = context.createOscillator(), gain = context.createGain();
    tone.type = "triangle";
    tone.frequency.value = 440 * Math.pow(2, (midi - 69) / 12);
    gain.gain.setValueAtTime(0, from);
    gain.gain.linearRampToValueAtTime(0.25, from + 0.015);
    gain.gain.setValueAtTime(0.25, Math.max(from + 0.02, to - 0.04));
    gain.gain.linearRampToValueAtTime(0, to);
    tone.connect(gain).connect(context.destination);
    tone.start(from);
    tone.stop(to + 0.02);
    sounds.push(tone);
  }
  function play(button) {
    var quarter = 60 / Number(button.dataset.tempo), end = 0, start;
    context = context || new (window.AudioContext || window.webkitAudioContext)();
    context.resume();
    start = context.currentTime + 0.1;
    button.dataset.notes.split(" ").forEach(function (note) {
      var n = note.split(",").map(Number);
      var from = swung(n[0]) / 1000 * quarter;
      var to = swung(n[0] + n[1]) / 1000 * quarter;
      sound(n[2], start + from, start + Math.max(to, from + 0.06));
      end = Math.max(end, to);
    });
    playing = button;
    button.setAttribute("aria-pressed", "true");
    timer = setTimeout(stop, 1000 * (end + 0.3));
  }
  document.querySelectorAll("button[data-notes]").forEach(function (button) {
    button.addEventListener("click", function () {
      var again = playing === button;
      stop();
      if (!again) play(button);
    });
  });
})();
