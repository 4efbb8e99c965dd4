// The planner: a tap on the head puts a corner of an own pattern there; only the fields that the
// choices ask for are shown. Without this script all fields stand there and corners are typed.

const form = document.getElementById("planner");
const said = () => document.getElementById("plan-said");

function fit() {
  const chosen = {
    for: form.elements.pattern.value,
    forShape: form.elements.shape.value,
    forHead: form.elements.head.value,
    forRoots: form.elements.roots.value,
  };
  for (const [name, value] of Object.entries(chosen)) {
    const attribute = `data-${name.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`)}`;
    for (const part of form.querySelectorAll(`[${attribute}]`)) {
      part.hidden = part.getAttribute(attribute) !== value;
    }
  }
}

// What the summary names is marked at its field, too.
function markFields() {
  const wrong = new Map(
    [...said().querySelectorAll("a[href^='#']")].map((link) => [link.hash.slice(1), link]),
  );
  for (const field of form.querySelectorAll("input, select, textarea")) {
    if (wrong.has(field.id)) {
      field.setAttribute("aria-invalid", "true");
      field.classList.add("is-invalid");
    } else {
      field.removeAttribute("aria-invalid");
      field.classList.remove("is-invalid");
    }
  }
}

function tap(svg, event) {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(
    svg.getScreenCTM().inverse(),
  );
  const deed = document.createElement("input");
  deed.type = "hidden";
  deed.name = "do";
  // Paper runs upwards, the drawing downwards.
  deed.value = `tap ${svg.dataset.view} ${at.x.toFixed(1)} ${(-at.y).toFixed(1)}`;
  form.append(deed);
  form.requestSubmit();
  deed.remove();
}

document.addEventListener("click", (event) => {
  const svg = event.target.closest("#planned[data-drawing] svg[data-view]");
  if (svg) tap(svg, event);
});

// Choosing the zone of a corner to come changes nothing yet.
form.addEventListener("change", (event) => {
  if (event.target.matches("[data-quiet]")) event.stopPropagation();
  else fit();
}, true);

document.addEventListener("htmx:afterSwap", markFields);
for (const trouble of ["htmx:sendError", "htmx:timeout", "htmx:responseError"]) {
  document.addEventListener(trouble, () => {
    const box = document.createElement("div");
    box.className = "errors";
    box.setAttribute("role", "alert");
    box.textContent = form.dataset.lost;
    said().replaceChildren(box);
  });
}
fit();
markFields();
