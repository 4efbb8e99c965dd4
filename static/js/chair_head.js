// The drawn head of the scoring page, and of reference heads: what lies under a finger, and marks that the site has not
// drawn yet. Places are points on the head's surface (head_geometry.js).
import { axesOf, dot, headOf, paperOf } from "./head_geometry.js";
import { every, find } from "./chair_hand.js";

const SEEN_FROM = 0.1; // as academy/craft/head/svg_faults.py draws marks
const [DOT, SMALL_DOT, RING, NUMBER_DROP] = [2.6, 6.5, 9.5, 3.6]; // mm, as there
const FINGER_PX = 28; // half a gloved fingertip
const ROUND = [...Array(12).keys()].map((step) => (step * Math.PI) / 6);

export const svgOf = () => find("#head-box svg");
const head = () => headOf(find("#head").dataset.head);
const small = () => every("#head .views svg");

export const viewOf = (svg) => ({
  svg,
  name: svg.dataset.view,
  ...axesOf(find(".hd-target", svg).dataset.axes),
});
export const viewInHand = () => viewOf(svgOf());

export const placeAt = ({ azimuth, elevation }) => head().at(azimuth, elevation);
export const placeUnder = (view, u, v) => head().under(view, u, v);
// Where a mark lies in the view in hand.
export const onPaper = (at) => paperOf(at, viewInHand());
export const sees = (view, at) => head().seen(at, view, SEEN_FROM);

// Degrees to two decimals; 180 and -180 are one place, written -180.
export function anglesOf([x, y, z]) {
  const degrees = (radians) => Math.round((radians * 18_000) / Math.PI) / 100 + 0;
  const [azimuth, elevation] = [Math.atan2(x, y), Math.atan2(z, Math.hypot(x, y))].map(degrees);
  return { azimuth: azimuth === 180 ? -180 : azimuth, elevation };
}

export const zoneWords = (zone) => zone.replace(/(side)_(\w+)/, "$2 $1");

// The zone under a point of a view; empty on skin and beside the head.
export function zoneIn({ svg }, u, v) {
  const onScreen = new DOMPoint(u, -v).matrixTransform(svg.getScreenCTM());
  for (const path of every("[data-zone]", svg)) {
    const inside = onScreen.matrixTransform(path.getScreenCTM().inverse());
    if (path.isPointInFill(inside)) return path.dataset.zone;
  }
  return "";
}

const squarely = (at) => small().map(viewOf).sort((a, b) => dot(at, b.toward) - dot(at, a.toward));

export const bestView = (at) => squarely(at)[0].name;

// The zone of a place. A view that sees it squarely knows it best.
export function zoneOf(at) {
  for (const view of squarely(at).slice(0, 3)) {
    const zone = zoneIn(view, ...paperOf(at, view));
    if (zone) return { zone, words: zoneWords(zone) };
  }
  return { zone: "", words: "" };
}

// Why nothing can lie there; empty where something can.
export function refusal(u, v) {
  const view = viewInHand();
  if (!placeUnder(view, u, v)) return "That was beside the head. Tap inside a zone.";
  return zoneIn(view, u, v) ? "" : "That was on bare skin. Tap inside a zone.";
}

// The middle of a zone, as the site has it.
export function middleOf(zone) {
  const all = find("#head").dataset.middles.split(", ").map((text) => text.split(" "));
  const [, azimuth, elevation] = all.find(([name]) => name === zone) ?? all[0];
  return head().at(Number(azimuth), Number(elevation));
}

// The number of the mark under a finger: round a ring there is room, a dot lies in a zone.
export function pressedMark(event) {
  const near = every(".hd-fault circle", svgOf()).find((circle) => {
    const { left, top, width, height } = circle.getBoundingClientRect();
    const away = Math.hypot(event.clientX - left - width / 2, event.clientY - top - height / 2);
    return away <= (circle.matches(".at") ? width : Math.max(width / 2, FINGER_PX));
  });
  return Number(near?.closest(".hd-fault").querySelector("text").textContent);
}

// The target, in every view that sees the place; `loose` where nothing is marked yet.
export function showTarget(at, loose) {
  for (const svg of every("#head svg")) {
    const group = find(".hd-target", svg);
    const shown = at && sees(viewOf(svg), at);
    group.classList.toggle("loose", Boolean(loose));
    group.setAttribute("visibility", shown ? "visible" : "hidden");
    if (!shown) continue;
    const [u, v] = paperOf(at, viewOf(svg));
    group.setAttribute("transform", `translate(${u.toFixed(1)} ${(-v).toFixed(1)})`);
  }
}

// Marks.

function shape(name, attributes, text = "") {
  const one = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) one.setAttribute(key, value);
  one.textContent = text;
  return one;
}

const dotAt = ([u, v], r) => shape("circle", { class: "at", cx: u.toFixed(1), cy: (-v).toFixed(1), r });

function layerOf(svg) {
  const found = find('[data-layer="marks"]', svg);
  if (found) return found;
  const layer = shape("g", { class: "hd-layer", "data-layer": "marks" });
  find(".hd-target", svg).before(layer);
  return layer;
}

// A place for a ring near its dot, as far from other dots and rings as there is room.
function ringSpot([u, v], taken, box) {
  let [best, most] = [[u, v], -Infinity];
  for (const far of [22, 32]) {
    for (const turn of ROUND) {
      const [a, b] = [u + far * Math.cos(turn), v + far * Math.sin(turn)];
      const [right, up] = [box.x + box.width, -box.y];
      const inside = a > box.x + RING && a < right - RING && b < up - RING && b > up - box.height + RING;
      const room = Math.min(40, ...taken.map(([x, y]) => Math.hypot(a - x, b - y)));
      // Outwards, so that less of the hair lies under it.
      const worth = room + Math.hypot(a, b) / 8 - far / 4;
      if (inside && worth > most) [best, most] = [[a, b], worth];
    }
  }
  return best;
}

export function drawLarge(svg, view, marks) {
  const layer = layerOf(svg);
  every(".drawn-here", layer).forEach((one) => one.remove());
  const drawn = new Map(marks.filter((mark) => mark.drawn).map((mark) => [mark.number, mark]));
  const taken = [];
  for (const group of every(".hd-fault", layer)) {
    const mark = drawn.get(Number(find("text", group).textContent));
    group.classList.toggle("chosen", Boolean(mark?.chosen));
    if (mark) group.removeAttribute("display");
    else group.setAttribute("display", "none");
    const ring = mark && find("circle:not(.at)", group);
    if (ring) taken.push([Number(ring.getAttribute("cx")), -ring.getAttribute("cy")]);
  }
  const seen = marks.filter((mark) => sees(view, mark.at));
  taken.push(...seen.map((mark) => paperOf(mark.at, view)));
  for (const mark of seen) {
    if (mark.drawn && !("standIn" in svg.dataset)) continue;
    const [u, v] = paperOf(mark.at, view);
    const [a, b] = ringSpot([u, v], taken.filter(([x, y]) => x !== u || y !== v), svg.viewBox.baseVal);
    taken.push([a, b]);
    const reach = 1 - RING / Math.max(Math.hypot(a - u, b - v), RING);
    const [x, y] = [u + reach * (a - u), v + reach * (b - v)];
    const states = `${mark.waits ? " waits" : ""}${mark.chosen ? " chosen" : ""}`;
    const group = shape("g", { class: `hd-fault drawn-here${states}` });
    group.append(
      shape("path", { d: `M${u.toFixed(1)} ${(-v).toFixed(1)}L${x.toFixed(1)} ${(-y).toFixed(1)}` }),
      dotAt([u, v], DOT),
      shape("circle", { cx: a.toFixed(1), cy: (-b).toFixed(1), r: RING }),
      shape("text", { x: a.toFixed(1), y: (NUMBER_DROP - b).toFixed(1) }, mark.number),
    );
    layer.append(group);
  }
}

// `marks` with number, place (`at`), and whether each is drawn by the site, waits, is chosen.
export function drawMarks(marks) {
  drawLarge(svgOf(), viewInHand(), marks);
  for (const svg of small()) {
    const seen = marks.filter((mark) => sees(viewOf(svg), mark.at));
    const group = shape("g", { class: "hd-fault" });
    group.append(...seen.map((mark) => dotAt(paperOf(mark.at, viewOf(svg)), SMALL_DOT)));
    layerOf(svg).replaceChildren(group);
  }
}

// Without signal the small drawing of a view stands in for the large one: without words.
export function turnHere(name) {
  const tab = find(`#view-${name} svg`);
  const large = svgOf();
  if (!tab || large.dataset.view === name) return;
  const turned = tab.cloneNode(true);
  turned.dataset.standIn = "";
  find('[data-layer="marks"]', turned)?.remove();
  find(".hd-target", turned).replaceChildren(...find(".hd-target", large).childNodes);
  large.replaceWith(turned);
  find("#head-box").classList.remove("crop");
  for (const link of every("[data-view-link]")) {
    if (link.dataset.viewLink === name) link.setAttribute("aria-current", "true");
    else link.removeAttribute("aria-current");
  }
}

export const standsIn = () => Boolean(find("#head-box svg[data-stand-in]"));
