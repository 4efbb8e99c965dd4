// Fault marks at the chair: placed, moved, called something else, taken off and brought back. Each
// is a touch of the outbox, so that it is drawn at once and works without signal; its place is
// "fault-" with the key of the mark, its value a text (academy/assessment/mark_text.py).
import { newKey } from "./device_store.js";
import { every, find, hand, keepHand } from "./chair_hand.js";
import * as drawing from "./chair_head.js";
import { put, waiting, waitingAt } from "./touch_outbox.js";
import { refresh } from "./chair_fetch.js";
import { WAYS, pointed } from "./head_geometry.js";

const [STEP_MM, FINE_MM] = [5, 1];
const PLACE = "fault-";

const box = () => find("#head-box");
const form = () => find("#fault");
const placeOf = (key) => PLACE + key;
export const rowOfMark = (key) => find(`#fault-list > [data-mark="${key}"]`);
const standsOf = (key) => rowOfMark(key)?.dataset.stands ?? "";
const marking = () => hand().get("mark") === "fault";

// The text of a mark.

function read(text) {
  const found = /^(\d+) (\S+) (\S+) (\S+) ?(.*)$/.exec(text);
  if (!found) return null;
  const [number, azimuth, elevation] = found.slice(1, 4).map(Number);
  return { number, azimuth, elevation, fault: found[4], note: found[5] };
}

const written = ({ number, azimuth, elevation, fault, note }) =>
  `${number} ${azimuth} ${elevation} ${fault} ${note}`.trim();

const samePlace = (one, other) => one?.azimuth === other?.azimuth && one?.elevation === other?.elevation;

const faultWords = (fault) => find(`option[value="${fault}"]`, form())?.textContent ?? fault;

function zoneWords(mark) {
  const row = rowOfMark(mark.key);
  const drawn = row && read(row.dataset.drawn);
  return samePlace(drawn, mark) ? row.dataset.zone : drawing.zoneOf(drawing.placeAt(mark)).words;
}

// "Fault 3, slipped foil, crown"; an abbreviation keeps its capitals.
function spoken(mark) {
  let words = faultWords(mark.fault);
  if (/[^A-Z]/.test(words[1])) words = words[0].toLowerCase() + words.slice(1);
  return `Fault ${mark.number}, ${words}, ${zoneWords(mark)}`;
}

// What stands or was pressed at the place of a mark, in words.
export function sayMark(key, text) {
  const mark = read(text);
  return mark ? [spoken({ ...mark, key }), mark.note].filter(Boolean).join(", ") : "no mark";
}

// What stands when all that waits has gone up, by number.
function allMarks() {
  const texts = new Map(every("#fault-list > li").map((row) => [row.dataset.mark, row.dataset.stands]));
  for (const { place, value } of waiting()) {
    if (place.startsWith(PLACE)) texts.set(place.slice(PLACE.length), value);
  }
  return [...texts]
    .filter(([, text]) => read(text))
    .map(([key, text]) => ({ key, text, ...read(text) }))
    .sort((a, b) => a.number - b.number);
}

const nextNumber = () => {
  const texts = every("#fault-list > li").flatMap(({ dataset }) => [dataset.stands, dataset.drawn]);
  const numbers = texts.map((text) => read(text)?.number ?? 0);
  return 1 + Math.max(0, ...numbers, ...allMarks().map((mark) => mark.number));
};

const inHand = () => !marking() && allMarks().find((mark) => mark.key === hand().get("fault"));

// What was said stands under the head, and is read out.
let told = null;
// The mark that was taken off just now, which can be brought back.
let off = null;
function say(words, wrong = false) {
  told = { words, wrong };
  find("#say").textContent = words;
  paintHand();
}

// Painting.

export function paintMarks() {
  if (!find("#faults")) return;
  const marks = allMarks();
  const list = find("#fault-list");
  for (const mark of marks) {
    if (rowOfMark(mark.key)) continue;
    const row = find("#fault-row").content.firstElementChild.cloneNode(true);
    row.dataset.mark = mark.key;
    list.append(row);
  }
  marks.forEach(paintRow);
  // In the order of the numbers, each moved only where it lies elsewhere.
  marks.map((mark) => rowOfMark(mark.key)).forEach((row, at, all) => {
    if (at && !(all[at - 1].compareDocumentPosition(row) & Node.DOCUMENT_POSITION_FOLLOWING)) all[at - 1].after(row);
  });
  const known = new Set(marks.map((mark) => mark.key));
  for (const row of every("#fault-list > li")) {
    const touch = waitingAt(placeOf(row.dataset.mark));
    row.hidden = !known.has(row.dataset.mark) && !(touch && ("stands" in touch || "refused" in touch));
  }
  list.hidden = marking() || every("li", list).every((row) => row.hidden);
  find("#off").hidden = !off;
  find("#off [data-words]").textContent = off?.words ?? "";
  find("#no-faults").hidden = marking() || !list.hidden || Boolean(off);
  drawing.drawMarks(
    marks.map((mark) => ({
      number: mark.number,
      at: drawing.placeAt(mark),
      drawn: rowOfMark(mark.key).dataset.drawn === mark.text,
      waits: Boolean(waitingAt(placeOf(mark.key))),
      chosen: mark.key === inHand()?.key,
    })),
  );
  paintHand();
}

function paintRow(mark) {
  const row = rowOfMark(mark.key);
  const link = find(".fault-row", row);
  const chosen = mark.key === inHand()?.key;
  const waits = Boolean(waitingAt(placeOf(mark.key)));
  link.id = `fault-${mark.number}`;
  find("[data-number]", row).textContent = mark.number;
  find("b", row).textContent = faultWords(mark.fault);
  const more = [zoneWords(mark), mark.note, waits ? "waits on this device" : ""];
  find("[data-where]", row).textContent = more.filter(Boolean).join(", ");
  row.classList.toggle("current", chosen);
  row.classList.toggle("waits", waits);
  if (chosen) link.setAttribute("aria-current", "true");
  else link.removeAttribute("aria-current");
}

function paintHand() {
  const mark = inHand();
  const open = marking() || Boolean(mark);
  const tap = marking() ? "mark" : mark && hand().has("tap") ? "move" : "";
  const at = mark ? drawing.placeAt(mark) : loose();
  const unseen = Boolean(mark) && !drawing.sees(drawing.viewInHand(), at);
  drawing.showTarget(open ? at : null, !mark);

  box().dataset.inHand = marking() ? "new" : (mark?.key ?? "");
  if (tap) box().dataset.tap = tap;
  else delete box().dataset.tap;
  if (open) box().tabIndex = 0;
  else box().removeAttribute("tabindex");

  find("#faults").classList.toggle("marking", marking());
  find("#faults-h").textContent = marking() ? "Mark a fault" : "Faults on this head";
  find("#mark").hidden = marking();
  form().hidden = !open;
  if (marking()) find("#which").open = true;
  find("#mark-there").hidden = !loose();
  find("#take-off").textContent = `Take fault ${mark?.number ?? ""} off`;

  find("#in-hand").hidden = !open && !told;
  find("#in-hand-said").textContent = told?.words ?? idleWords(mark, tap, unseen);
  find("#in-hand-said").classList.toggle("not-kept", Boolean(told?.wrong));
  find("#turn-line").hidden = !unseen;
  if (unseen) find("#turn").textContent = `Turn the head: ${drawing.bestView(at)}`;
  find(".in-hand .arrows").hidden = !mark && !(marking() && loose());
  find(".in-hand .undo").hidden = !mark || !hand().get("was");
  // What is in hand comes first beside the head. Moved for nothing it would lose the focus.
  const [zones, faults] = [find("#zones"), find("#faults")];
  if (open && zones.nextElementSibling === faults) zones.before(faults);
  else if (!open && faults.nextElementSibling === zones) zones.after(faults);
}

function idleWords(mark, tap, unseen) {
  if (marking()) return "Choose the fault, then tap the head where it is.";
  if (!mark) return "";
  return `${spoken(mark)}.${tap && !unseen ? " Tap its new place, or use the arrows." : ""}`;
}

// Taking in hand.

function showHand() {
  for (const one of [box(), find("#in-hand")]) one.scrollIntoView({ block: "nearest" });
}

function fill(mark) {
  const { view, u, v, fault, note } = form().elements;
  for (const field of [view, u, v]) field.value = "";
  fault.value = mark?.fault ?? "";
  note.value = mark?.note ?? "";
  find("#which").open = false;
}

function begin() {
  told = off = null;
  keepHand({ mark: "fault", fault: "", tap: "", was: "" });
  fill(null);
  form().elements.zone.value = hand().get("zone") ?? "";
  paintMarks();
  form().elements.fault.focus({ preventScroll: true });
  showHand();
}

function take(mark, { tap = true } = {}) {
  told = off = null;
  keepHand({ mark: "", fault: mark.key, tap: tap ? "1" : "", was: "" });
  fill(mark);
  paintMarks();
  if (!tap) return;
  const at = drawing.placeAt(mark);
  if (!drawing.sees(drawing.viewInHand(), at)) look(drawing.bestView(at));
  showHand();
}

function leave() {
  told = off = null;
  keepHand({ mark: "", fault: "", tap: "", was: "" });
  paintMarks();
}

function look(view) {
  keepHand({ view });
  void refresh();
}

// A new mark whose fault is not chosen yet lies in the fields of its form.

function loose() {
  const { view, u, v } = form().elements;
  if (!marking() || !view.value) return null;
  return drawing.placeAt({ azimuth: Number(u.value), elevation: Number(v.value) });
}

function lay(at, moved) {
  const { view, u, v, fault } = form().elements;
  const { azimuth, elevation } = drawing.anglesOf(at);
  [view.value, u.value, v.value] = ["here", azimuth, elevation];
  const named = fault.value ? "" : " Choose the fault, then mark it.";
  say(`Mark ${nextNumber()}, ${drawing.zoneOf(at).words}, ${moved}not kept yet.${named}`);
}

// Touches. Each says what was done, and has what it was.

function touch(mark, value, deed) {
  put(placeOf(mark.key), value, standsOf(mark.key), `${spoken(mark)}: ${deed}`);
}

function place(at) {
  const { fault, note } = form().elements;
  if (!fault.value) {
    say("Which fault is it? Choose it, then mark it.", true);
    fault.focus();
    return;
  }
  const byKey = form().contains(document.activeElement);
  const mark = {
    key: newKey(),
    number: nextNumber(),
    fault: fault.value,
    note: note.value.trim(),
    ...drawing.anglesOf(at),
  };
  touch(mark, written(mark), "marked");
  take(mark, { tap: false });
  say(`${spoken(mark)}, marked.`);
  document.dispatchEvent(new CustomEvent("chair:zone", { detail: drawing.zoneOf(at).zone }));
  if (byKey) find("#arrow-up").focus({ preventScroll: true });
}

function move(mark, at, words) {
  const moved = { ...mark, ...drawing.anglesOf(at) };
  keepHand({ was: `${mark.azimuth} ${mark.elevation}`, tap: "" });
  touch(moved, written(moved), "moved");
  say(`${spoken(moved)}, ${words}`);
}

function undoMove() {
  const mark = inHand();
  const [azimuth, elevation] = hand().get("was").split(" ").map(Number);
  keepHand({ was: "" });
  const back = { ...mark, azimuth, elevation };
  touch(back, written(back), "back where it was");
  say(`${spoken(back)}, back where it was.`);
}

function rename() {
  const { fault, note } = form().elements;
  const mark = inHand();
  if (!fault.value) {
    say("Which fault is it? Choose it, then change it.", true);
    fault.focus();
    return;
  }
  const named = { ...mark, fault: fault.value, note: note.value.trim() };
  find("#which").open = false;
  touch(named, written(named), "changed");
  say(`${spoken(named)}, changed.`);
}

function takeOff() {
  const mark = inHand();
  const words = `${spoken(mark)}, is off.`;
  touch(mark, "", "taken off");
  leave();
  off = { mark, words };
  find("#say").textContent = words;
  paintMarks();
  find("#undo-off").focus({ preventScroll: true });
}

function putBack() {
  const { mark } = off;
  touch(mark, written(mark), "put back");
  take(mark, { tap: false });
  say(`${spoken(mark)}, back.`);
  find("#arrow-up").focus({ preventScroll: true });
}

// What the site has at the place of a mark.
export function standMark(key, value) {
  if (!rowOfMark(key) && value) {
    const row = find("#fault-row").content.firstElementChild.cloneNode(true);
    row.dataset.mark = key;
    find("#fault-list").append(row);
  }
  const row = rowOfMark(key);
  if (row) row.dataset.stands = value;
}

// Pressing.

function tapped(u, v) {
  const no = drawing.refusal(u, v);
  if (no) {
    say(no);
    return;
  }
  const at = drawing.placeUnder(drawing.viewInHand(), u, v);
  if (!marking()) move(inHand(), at, "moved there.");
  else if (form().elements.fault.value) place(at);
  else lay(at, "");
}

function step(way, shift) {
  const mark = inHand();
  const at = mark ? drawing.placeAt(mark) : loose();
  const view = drawing.viewInHand();
  if (!at) return;
  if (!drawing.sees(view, at)) {
    say("The mark is not seen from here. Turn the head to another view.");
    return;
  }
  const mm = shift || find("#fine").checked ? FINE_MM : STEP_MM;
  const [u, v] = drawing.onPaper(at).map((n, axis) => n + mm * WAYS[way][axis]);
  if (drawing.refusal(u, v)) {
    say("There the hair ends. Move it another way.");
    return;
  }
  const there = drawing.placeUnder(view, u, v);
  if (mark) move(mark, there, `moved ${mm} mm ${way}.`);
  else lay(there, `moved ${mm} mm ${way}, `);
}

function pressHead(event) {
  const tap = box().dataset.tap;
  const number = tap !== "mark" && drawing.pressedMark(event);
  const mark = number && allMarks().find((one) => one.number === number);
  if (box().tabIndex === 0) box().focus({ preventScroll: true });
  if (mark && mark.key !== inHand()?.key) take(mark);
  else if (tap) tapped(...pointed(drawing.svgOf(), event));
  else if (!mark) {
    const zone = event.target.closest("[data-zone]")?.dataset.zone;
    find(`[data-zone-link="${zone}"]`)?.click();
  }
}

document.addEventListener("click", (event) => {
  if (event.target.closest("#head-box")) {
    pressHead(event);
    return;
  }
  const one = event.target.closest("#chair a, #chair .arrows button");
  if (!one || event.ctrlKey || event.metaKey || (event.shiftKey && one.matches("a"))) return;
  let done = true;
  if (one.matches(".arrows button")) step(one.value, event.shiftKey);
  else if (one.matches("#mark")) begin();
  else if (one.matches("[data-leave]")) leave();
  else if (one.matches(".fault-row")) {
    const key = one.closest("li").dataset.mark;
    take(allMarks().find((mark) => mark.key === key));
  } else if (one.matches("#turn")) look(drawing.bestView(drawing.placeAt(inHand())));
  else if (one.matches("[data-view-link]")) look(one.dataset.viewLink);
  else if (one.matches("#size")) {
    keepHand({ large: hand().has("large") ? "" : "1" });
    void refresh();
  } else done = false;
  if (done) event.preventDefault();
});

document.addEventListener("keydown", (event) => {
  const way = event.key.replace("Arrow", "").toLowerCase();
  if (!WAYS[way] || !event.target.closest("#head-box, .in-hand .arrows")) return;
  if (event.altKey || event.ctrlKey || event.metaKey || find(".in-hand .arrows").hidden) return;
  event.preventDefault();
  step(way, event.shiftKey);
});

document.addEventListener("submit", (event) => {
  if (!event.target.matches("#chair form")) return;
  event.preventDefault();
  const name = event.submitter?.name;
  if (event.target.matches(".undo")) undoMove();
  else if (event.target.matches("#off form")) putBack();
  else if (event.target !== form()) return;
  else if (!marking()) (name === "remove" ? takeOff : rename)();
  else place((name !== "middle" && loose()) || drawing.middleOf(form().elements.zone.value));
});

document.addEventListener("chair:drawn", paintMarks);
