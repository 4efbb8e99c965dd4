// The time that is left of a test, once a second. Words come at five minutes, at one, and at the
// end; the site decides by its own clock.
const clock = document.getElementById("time-left");
const said = document.getElementById("kept");
const end = Date.now() + Number(clock.dataset.left) * 1000;
const WORDS = [
  [300, "five"],
  [60, "minute"],
  [0, "up"],
];

let before = Number(clock.dataset.left) + 1;
function tick() {
  const left = Math.max(0, Math.round((end - Date.now()) / 1000));
  const seconds = String(left % 60).padStart(2, "0");
  clock.textContent = `${Math.floor(left / 60)}:${seconds}`;
  clock.classList.toggle("marked", left <= 60);
  for (const [at, word] of WORDS) {
    if (left <= at && before > at) said.textContent = said.dataset[word];
  }
  before = left;
  if (left > 0) return;
  clearInterval(ticking);
  document.dispatchEvent(new CustomEvent("time:up"));
}

const ticking = setInterval(tick, 1000);
tick();
