// The head on the scoring page: a press on a zone opens it; while a fault is being marked,
// a press puts the mark there. Zone rows and the "middle of the zone" button do the same without.
// A touch that got no answer is taken back on the page, so that what is pressed is what is kept.

const view = (target) => target.closest("[data-head-view]");

function point(svg, event) {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(
    svg.getScreenCTM().inverse(),
  );
  // Paper runs upwards, the drawing downwards.
  return { u: at.x, v: -at.y };
}

function mark(box, event) {
  const form = document.querySelector("[data-fault-form]");
  const { u, v } = point(box.querySelector("svg"), event);
  form.elements.view.value = box.dataset.headView;
  form.elements.u.value = u.toFixed(2);
  form.elements.v.value = v.toFixed(2);
  form.requestSubmit();
}

document.addEventListener("click", (event) => {
  const box = view(event.target);
  if (!box) return;
  if (box.hasAttribute("data-mark-fault")) {
    mark(box, event);
    return;
  }
  const zone = event.target.closest("[data-zone]");
  const link = zone && document.querySelector(`[data-zone-link="${zone.dataset.zone}"]`);
  if (link) link.click();
});

function takeBack(levels) {
  const said = levels.closest("fieldset").querySelector("[data-chosen]");
  for (const radio of levels.querySelectorAll("input")) {
    radio.checked = radio.value === said.dataset.chosen;
  }
}

function sayNotKept(words) {
  const kept = document.getElementById("kept");
  kept.classList.add("not-kept");
  kept.querySelector("span").textContent = words;
}

for (const trouble of ["htmx:sendError", "htmx:timeout", "htmx:responseError"]) {
  document.addEventListener(trouble, (event) => {
    sayNotKept(document.getElementById("kept").dataset.lost);
    if (event.detail.elt.matches(".levels")) takeBack(event.detail.elt);
  });
}

// Signed out in the middle: the page goes to the sign-in, and says on its return what was lost.
const LOST = "blockwork-touch-lost";
document.addEventListener("htmx:beforeOnLoad", (event) => {
  if (event.detail.xhr.getResponseHeader("HX-Redirect")) sessionStorage.setItem(LOST, "1");
});
if (sessionStorage.getItem(LOST)) {
  sessionStorage.removeItem(LOST);
  sayNotKept(document.getElementById("kept").dataset.signedOut);
}
