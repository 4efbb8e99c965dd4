// The clock at the chair, once a second. It counts on from what the site computed, and says it
// where the time allowed, and the time for which pace is noted, are over.
const begun = new WeakMap();

function tick() {
  const clock = document.getElementById("clock");
  if (!clock) return;
  // The desk comes anew with other touches, and the clock with it.
  if (!begun.has(clock)) begun.set(clock, Date.now() - Number(clock.dataset.seconds) * 1000);
  const seconds = Math.floor((Date.now() - begun.get(clock)) / 1000);
  const face = clock.querySelector("[data-face]");
  face.textContent = `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
  const { allowed, most } = clock.dataset;
  if (!allowed) return;
  const pace = seconds > Number(most);
  clock.querySelector("[data-pace]").hidden = !pace;
  clock.querySelector("[data-time]").hidden = pace || seconds <= 60 * Number(allowed);
}

setInterval(tick, 1000);
tick();
