// The head on the scoring page. A press on a zone opens it; a press on a mark takes it in hand; the
// tap after "Mark a fault" or for a mark in hand puts the mark there. Rows, lists and arrow buttons
// do the same without. What is tapped is shown at once; what got no answer is said to be not kept.
import { WAYS, axesOf, headOf, paperOf, pointed } from "./head_geometry.js";

const STEP_MM = 5;
const FINE_MM = 1;
const SEEN_FROM = 0.1; // as academy/craft/head/svg_faults.py draws marks
const FINGER_PX = 28; // half a gloved fingertip

const desk = document.getElementById("desk");
const find = (selector) => document.querySelector(selector);
const box = () => document.getElementById("head-box");
const svgOf = () => box().querySelector("svg");
const form = () => document.getElementById("fault");

// What was said stands under the head, and is read out.
function say(words, lost = false) {
  const line = document.getElementById("in-hand-said");
  if (line) {
    line.textContent = words;
    line.classList.toggle("not-kept", lost);
  }
  document.getElementById("say").textContent = words;
}

// The views that carry a target: the big one first, then the small ones.
function targets() {
  return [...document.querySelectorAll("#head .hd-target")].map((group) => ({
    group,
    name: group.closest("svg").dataset.view,
    ...axesOf(group.dataset.axes),
  }));
}

const theHead = () => headOf(find("#head").dataset.head);
const inHand = () => targets()[0];

function showTarget(at) {
  const head = theHead();
  for (const view of targets()) {
    const [u, v] = paperOf(at, view);
    const seen = head.seen(at, view, SEEN_FROM);
    view.group.classList.add("loose");
    view.group.setAttribute("visibility", seen ? "visible" : "hidden");
    view.group.setAttribute("transform", `translate(${u.toFixed(1)} ${(-v).toFixed(1)})`);
  }
}

// The word of the zone under a point of the view in hand; empty on skin and beside the head.
function zoneAt(u, v) {
  const onScreen = new DOMPoint(u, -v).matrixTransform(svgOf().getScreenCTM());
  for (const path of svgOf().querySelectorAll("[data-zone]")) {
    const inside = onScreen.matrixTransform(path.getScreenCTM().inverse());
    if (path.isPointInFill(inside)) return path.dataset.zone.replace(/(side)_(\w+)/, "$2 $1");
  }
  return "";
}

// Why nothing can lie there; empty where something can.
function refusal(u, v) {
  if (!theHead().under(inHand(), u, v)) return "That was beside the head. Tap inside a zone.";
  return zoneAt(u, v) ? "" : "That was on bare skin. Tap inside a zone.";
}

// A new mark that is not kept lies in the fields of its form.

function loose() {
  const fields = form()?.elements;
  if (!fields?.view.value) return null;
  const view = targets().find((one) => one.name === fields.view.value);
  return theHead().under(view, Number(fields.u.value), Number(fields.v.value));
}

const markNumber = () => find(".in-hand .arrows").dataset.number;

function put(u, v, words) {
  const { view, u: across, v: up } = form().elements;
  [view.value, across.value, up.value] = [inHand().name, u.toFixed(2), v.toFixed(2)];
  showLoose();
  const named = form().elements.fault.value ? "" : " Choose the fault, then mark it.";
  say(`Mark ${markNumber()}, ${zoneAt(u, v)}, ${words}not kept yet.${named}`);
}

function showLoose() {
  const at = loose();
  if (!at) return;
  showTarget(at);
  find(".in-hand .arrows").hidden = false;
  document.getElementById("mark-there").hidden = false;
}

function tapToMark(u, v) {
  const no = refusal(u, v);
  if (no) {
    say(no);
    return;
  }
  put(u, v, "");
  if (form().elements.fault.value) touch(form(), document.getElementById("mark-there"));
}

function tapToMove(u, v) {
  const no = refusal(u, v);
  if (no) {
    say(no);
    return;
  }
  showTarget(theHead().under(inHand(), u, v));
  const sent = { move: "tap", view: inHand().name, u: u.toFixed(2), v: v.toFixed(2) };
  touch(find(".in-hand form.arrows"), null, sent);
}

function step(button, fine) {
  const arrows = button.closest(".arrows");
  if (arrows.matches("form")) {
    touch(arrows, button, fine ? { fine: "1", shift: "1" } : {});
    return;
  }
  const at = loose();
  const view = inHand();
  if (!at || !theHead().seen(at, view)) {
    say("The mark is not seen from here. Turn the head to another view.");
    return;
  }
  const mm = fine || arrows.querySelector("[name=fine]").checked ? FINE_MM : STEP_MM;
  const [u, v] = paperOf(at, view).map((n, axis) => n + mm * WAYS[button.value][axis]);
  if (refusal(u, v)) say("There the hair ends. Move it another way.");
  else put(u, v, `moved ${mm} mm ${button.value}, `);
}

// One touch: from the desk, which stays, so that touches wait for each other and none is dropped
// with the row it was pressed in. The site says in its answer what changes.

function touch(sender, button, more = {}) {
  const values = { ...Object.fromEntries(new FormData(sender, button)), ...more };
  ask("POST", sender.getAttribute("action"), values);
}

function ask(verb, path, values = {}) {
  // What went wrong is told by htmx's events, below.
  window.htmx.ajax(verb, path, { source: desk, target: desk, values }).catch(() => {});
}

function pressed(svg, event) {
  const near = [...svg.querySelectorAll(".hd-fault circle")].find((circle) => {
    const { left, top, width, height } = circle.getBoundingClientRect();
    const away = Math.hypot(event.clientX - left - width / 2, event.clientY - top - height / 2);
    // Round a ring there is room for a finger; a dot lies in a zone, which wants its taps.
    return away <= (circle.matches(".at") ? width : Math.max(width / 2, FINGER_PX));
  });
  return near?.closest(".hd-fault").querySelector("text").textContent;
}

document.addEventListener("click", (event) => {
  if (event.target.closest("#head-box")) {
    const number = box().dataset.tap !== "mark" && pressed(svgOf(), event);
    const link = number && document.getElementById(`fault-${number}`);
    if (box().tabIndex === 0) box().focus({ preventScroll: true });
    if (link && !link.ariaCurrent) link.click();
    else if (box().dataset.tap === "mark") tapToMark(...pointed(svgOf(), event));
    else if (box().dataset.tap === "move") tapToMove(...pointed(svgOf(), event));
    else if (link) return;
    else {
      const zone = event.target.closest("[data-zone]")?.dataset.zone;
      find(`[data-zone-link="${zone}"]`)?.click();
    }
    return;
  }
  const arrow = event.target.closest(".in-hand .arrows button");
  if (arrow) {
    event.preventDefault();
    step(arrow, event.shiftKey);
    return;
  }
  const link = event.target.closest("a[data-in-place]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  ask("GET", link.getAttribute("href"));
});

document.addEventListener("keydown", (event) => {
  const way = event.key.replace("Arrow", "").toLowerCase();
  if (!WAYS[way] || !event.target.closest("#head-box, .in-hand .arrows")) return;
  const button = document.getElementById(`arrow-${way}`);
  if (!button || event.altKey || event.ctrlKey || event.metaKey) return;
  event.preventDefault();
  if (button.closest("[hidden]")) return;
  // A key held down waits for each answer.
  if (!event.repeat || !desk.classList.contains("htmx-request")) step(button, event.shiftKey);
});

document.addEventListener("submit", (event) => {
  if (!event.target.matches("[data-touch]")) return;
  event.preventDefault();
  touch(event.target, event.submitter);
});

// What was typed stays when the rows round it change, and the focus stays where it was.

let typed = [];
let focused = "";
let held = "";

document.addEventListener("htmx:beforeSwap", () => {
  const fields = [...document.querySelectorAll("#chair [data-touch] :is(input, select)[id]")];
  const changed = (field) => {
    if (field.type === "hidden") return field.value;
    if (field.type === "checkbox") return false;
    if (field.options) return !field.options[field.selectedIndex]?.defaultSelected;
    return field.value !== field.defaultValue;
  };
  held = box()?.dataset.inHand;
  typed = fields.filter(changed).map((field) => [field.id, field.value]);
  focused = desk.contains(document.activeElement) ? document.activeElement.id || "gone" : "";
});

document.addEventListener("htmx:afterSettle", () => {
  for (const [id, value] of typed) {
    const field = document.getElementById(id);
    if (field) field.value = value;
  }
  typed = [];
  showLoose();
  // What had the focus may be gone with what was done; the next step has it then.
  if (focused && !document.getElementById(focused)) {
    const next = ["#undo-off", "#arrow-up", "#fault select", "#mark"].map(find);
    next.find((one) => one && !one.closest("[hidden]"))?.focus({ preventScroll: true });
  }
  focused = "";
  // A phone shows the list or the head. What is in hand now is put right by the head.
  if (box()?.dataset.inHand && box().dataset.inHand !== held) {
    for (const one of [box(), find("#in-hand")]) one.scrollIntoView({ block: "nearest" });
  }
});

function sayNotKept(words) {
  const kept = document.getElementById("kept");
  kept.classList.add("not-kept");
  kept.querySelector("span").textContent = words;
}

function sayMarkNotKept() {
  if (loose()) say("Not kept: no answer came. The mark stays here; press “Mark it there” again.", true);
  else if (box()?.dataset.tap === "move") {
    say("Not kept: no answer came. The mark lies where it was; tap its place again.", true);
  } else say("Not kept: no answer came. Press it once more.", true);
}

for (const trouble of ["htmx:sendError", "htmx:timeout", "htmx:responseError"]) {
  document.addEventListener(trouble, ({ detail }) => {
    if (detail.requestConfig.verb === "get") return; // the head did not turn, and nothing was lost
    sayNotKept(document.getElementById("kept").dataset.lost);
    if (detail.elt === desk) sayMarkNotKept();
  });
}

// The head turns with the zone, and comes anew with what was touched elsewhere.
document.addEventListener("chair:turn", ({ detail }) => ask("GET", location.pathname + detail));
document.addEventListener("chair:elsewhere", () => ask("GET", location.pathname + location.search));

// Signed out in the middle: the page goes to the sign-in, and says on its return what was lost.
const LOST = "blockwork-touch-lost";
document.addEventListener("htmx:beforeOnLoad", (event) => {
  if (event.detail.xhr.getResponseHeader("HX-Redirect")) sessionStorage.setItem(LOST, "1");
});
if (sessionStorage.getItem(LOST)) {
  sessionStorage.removeItem(LOST);
  sayNotKept(document.getElementById("kept").dataset.signedOut);
}
