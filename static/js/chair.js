// The scoring page at work: a press goes into the outbox and is shown at once, the next criterion
// comes in hand by itself, and zones, counts and what is missing follow without asking the site, so
// that a tablet without signal marks a whole head. What the site says stands in data-stands.
import { refresh } from "./chair_fetch.js";
import { every, find, hand, keepHand } from "./chair_hand.js";
import { paintMarks, rowOfMark, sayMark, standMark } from "./chair_marks.js";
import { drop, keepMine, put, show, waiting, waitingAt } from "./touch_outbox.js";

const WAY = "blockwork-chair-way";
const DOUBLE_MS = 300;

const desk = document.getElementById("desk");

const rows = () => every(".crit[data-place]");
const rowAt = (place) => find(`.crit[data-place="${place}"]`);
const chips = () => every("[data-zone-link]");
const wordsOf = (zone) => find(`[data-zone-link="${zone}"] b`).textContent.toLowerCase();
const inHand = () => find(".crit.in-hand");
const byCriterion = () => find("#levels")?.dataset.by === "criterion";

// What stands at a place when all that waits has gone up.
const placeOf = (row) => (row.dataset.code ? `level-${row.dataset.place}` : row.dataset.place);
const standsAt = (row) => waitingAt(placeOf(row))?.value ?? row.dataset.stands;
const outOf = (chip) => waitingAt(`zone-${chip.dataset.zoneLink}`)?.value ?? chip.dataset.out;
const reasonOf = (zone) => {
  const chip = zone && find(`[data-zone-link="${zone}"]`);
  return chip ? outOf(chip) : "";
};
const levelOf = (row) => (reasonOf(row.dataset.zone) ? "" : standsAt(row));

function zoneStands(zone) {
  const levels = rows().filter((row) => row.dataset.zone === zone && levelOf(row));
  const pairs = levels.map((row) => `${row.dataset.code}=${levelOf(row)}`).sort();
  return reasonOf(zone) || (pairs.length ? `levels:${pairs.join(" ")}` : "");
}

// The rows in the order in which they are walked, the rating last.
function walked() {
  const order = chips().map((chip) => chip.dataset.zoneLink);
  const [zones, head] = [rows().filter((row) => row.dataset.zone), rows().filter((row) => row.dataset.zone === "")];
  if (!byCriterion()) {
    zones.sort((a, b) => order.indexOf(a.dataset.zone) - order.indexOf(b.dataset.zone));
  }
  return [...zones, ...head, ...every("#overall")];
}

const missing = (row) => !standsAt(row) && !reasonOf(row.dataset.zone);

// The next gap: in the zone or the criterion in hand, then anywhere behind, then from the start.
function nextGap() {
  const gaps = walked().filter(missing);
  const now = handOf();
  const same = (row) =>
    row.dataset.code && row.dataset.zone !== "" &&
    (byCriterion() ? row.dataset.code === now.code : row.dataset.zone === now.zone);
  return gaps.find(same) ?? gaps[0];
}

function handOf() {
  const row = inHand();
  return { zone: hand().get("zone") ?? "", code: row?.dataset.code ?? find("#levels")?.dataset.code };
}

const past = [];

function take(row, { back = false } = {}) {
  const before = inHand();
  const from = before?.getBoundingClientRect().top;
  if (before && before !== row && !back) past.push(before.dataset.place);
  before?.classList.remove("in-hand");
  const zoneBefore = handOf().zone;
  if (row.dataset.place !== "overall") row.classList.add("in-hand");
  const zone = row.dataset.zone || zoneBefore;
  keepHand({ zone, row: row.dataset.code ? row.dataset.place : "" });
  if (zone !== zoneBefore) turn();
  paint();
  // It comes to where the one before was, so that a finger finds it without looking.
  const to = row.getBoundingClientRect().top;
  if (from !== undefined && Math.abs(from) < innerHeight) scrollBy(0, to - from);
  else row.scrollIntoView({ block: "center" });
}

// The head turns to the zone.
function turn() {
  keepHand({ view: "" });
  void refresh();
}

function takeZone(zone, { turning = true } = {}) {
  const own = walked().filter((row) => row.dataset.zone === zone);
  const code = handOf().code;
  const row = byCriterion() ? own.find((one) => one.dataset.code === code) : own.find(missing);
  inHand()?.classList.remove("in-hand");
  row?.classList.add("in-hand");
  keepHand({ zone, row: row?.dataset.place ?? "" });
  if (turning) turn();
  paint();
}

// A mark was put into it: with it the zone is in hand, and the head stays.
document.addEventListener("chair:zone", ({ detail }) => {
  if (detail !== handOf().zone && find(`[data-zone-link="${detail}"]`)) takeZone(detail, { turning: false });
});

// Painting.

function paintRow(row) {
  const level = levelOf(row);
  for (const radio of every("input[type=radio]", row)) radio.checked = radio.value === level;
  const chosen = find("input:checked", row)?.closest("label");
  const waits = waitingAt(placeOf(row));
  row.classList.toggle("waits", Boolean(waits));
  const out = reasonOf(row.dataset.zone);
  find("[data-none]", row).hidden = Boolean(chosen || out);
  if (!row.dataset.code) return;
  find("[data-left-out]", row).hidden = !out;
  const text = chosen ?? find("label.passes", row);
  find("small", row).textContent = `${text.querySelector("b").textContent} = ${find(".text", text).textContent}`;
  find("[data-clear]", row).hidden = !chosen;
  if (row.dataset.zone === "") return;
  const { zone, code } = handOf();
  row.hidden = byCriterion() ? row.dataset.code !== code : row.dataset.zone !== zone;
  row.disabled = row.hidden || Boolean(out);
}

function paintZones() {
  const words = {};
  for (const chip of chips()) {
    const zone = chip.dataset.zoneLink;
    const own = rows().filter((row) => row.dataset.zone === zone);
    const out = outOf(chip);
    const open = own.filter(missing).length;
    const current = zone === handOf().zone;
    const count = out ? "left out" : `${own.length - open} of ${own.length}`;
    find("[data-open]", chip).hidden = !open;
    find("[data-open]", chip).textContent = `${open} ${open === 1 ? "level" : "levels"} open`;
    find("[data-done]", chip).hidden = Boolean(open || out);
    find("[data-is-out]", chip).hidden = !out;
    if (current) chip.setAttribute("aria-current", "true");
    else chip.removeAttribute("aria-current");
    const states = current ? "sel" : out ? "off" : open ? "part" : "done";
    words[wordsOf(zone)] = { count, states };
    for (const path of every(`#head .hd-zone[data-zone="${zone}"]`)) path.setAttribute("class", `hd-zone ${states}`);
  }
  for (const label of every("#head .hd-label")) {
    const told = words[label.textContent];
    if (!told) continue;
    label.setAttribute("class", `hd-label ${told.states}`);
    const value = label.nextElementSibling;
    if (!value?.matches(".hd-value")) continue;
    value.textContent = told.count;
    value.setAttribute("class", `hd-value ${told.states}`);
  }
}

function paintTitle() {
  const levels = find("#levels");
  if (!levels) return;
  const { zone, code } = handOf();
  if (inHand()?.dataset.zone) levels.dataset.code = inHand().dataset.code;
  const titled = find(`.crit[data-code="${code}"] .of-crit`);
  const words = wordsOf(zone);
  find("#zone-h").textContent = byCriterion() && titled ? titled.textContent : words[0].toUpperCase() + words.slice(1);
  for (const one of every("[data-zone-word]")) one.textContent = words;
  for (const field of every("input[name=zone]", find("#zone-out"))) field.value = zone;
  const out = reasonOf(zone);
  find("#zone-is-out").hidden = !out;
  find("#zone-reason").textContent = out;
  find("#zone-is-in").hidden = Boolean(out);
}

function paintBar() {
  const bar = find("#missing");
  if (!bar) return;
  const gaps = walked().filter(missing);
  const counts = new Map();
  const order = chips().map((chip) => chip.dataset.zoneLink);
  const at = (row) => (row.dataset.zone ? order.indexOf(row.dataset.zone) : 99);
  for (const row of [...gaps].sort((a, b) => at(a) - at(b))) {
    const where = row.dataset.zone ? wordsOf(row.dataset.zone) : row.dataset.code ? "whole head" : "overall rating";
    counts.set(where, (counts.get(where) ?? 0) + 1);
  }
  const all = !gaps.length && !("trouble" in bar.dataset);
  find("[data-missing]").hidden = all;
  find("[data-whole]").hidden = !all;
  find("[data-missing]").textContent = `Still missing: ${gaps.length}`;
  find("#missing-words").textContent = [...counts].map((pair) => pair.join(" ")).join(" · ");
  const next = nextGap();
  find("#step-next").hidden = !next;
  if (next) find("#step-next").dataset.take = next.dataset.place;
  find("#to-feedback").hidden = !all;
  find("#step-back").hidden = !past.length;
}

// What stands and what was pressed here, where they differ: the assessor decides.
function sayValue(row, place, value) {
  if (place.startsWith("fault-")) return sayMark(place.slice(6), value);
  if (!value) return { level: "no level", zone: "judged, no level yet" }[place.split("-")[0]] ?? "nothing";
  if (place.startsWith("zone-")) {
    return value.startsWith("levels:") ? `judged, ${value.slice(7).replaceAll("=", " has ")}` : `left out: ${value}`;
  }
  const label = row && find(`input[value="${value}"]`, row)?.closest("label");
  return label ? `${find("b", label).textContent}, ${find(".word", label).textContent}` : `“${value}”`;
}

function seatOf(place) {
  if (place.startsWith("level-")) return rowAt(place.slice(6));
  if (place.startsWith("fault-")) return rowOfMark(place.slice(6));
  if (place.startsWith("zone-")) return place.slice(5) === handOf().zone ? find("#zone-out") : null;
  return place === "overall" ? find("#overall") : find("#notes");
}

function paintChoices() {
  for (const one of every(".two-answers")) one.remove();
  for (const touch of waiting()) {
    const seat = seatOf(touch.place);
    if (!seat || !("stands" in touch || "refused" in touch)) continue;
    const choice = find("#compare").content.firstElementChild.cloneNode(true);
    const mine = sayValue(seat, touch.place, touch.value);
    const [keep, leave] = every("button", choice);
    if ("stands" in touch) {
      const theirs = sayValue(seat, touch.place, touch.stands);
      find("p", choice).textContent = `Changed on another page or device. It stands: ${theirs}. Pressed here: ${mine}.`;
      keep.textContent = `Keep mine: ${mine}`;
      leave.textContent = `Keep that: ${theirs}`;
    } else {
      find("p", choice).textContent = `${mine} was not kept. ${touch.refused}`;
      keep.textContent = "Try it again";
      leave.textContent = "Leave it";
    }
    keep.addEventListener("click", () => keepMine(touch.place));
    leave.addEventListener("click", () => {
      if ("stands" in touch) stand(touch.place, touch.stands);
      drop(touch.place);
    });
    seat.append(choice);
  }
}

function paint() {
  every(".crit[data-place]").forEach(paintRow);
  paintMarks();
  if (find("#levels")) {
    paintTitle();
    paintZones();
  }
  paintBar();
  paintChoices();
}

// Pressing.

const nameOf = (row) => {
  const zone = row.dataset.zone ? `${wordsOf(row.dataset.zone)}, ` : "";
  return `${zone}${row.dataset.title}`;
};

function press(row, value) {
  put(placeOf(row), value, row.dataset.stands, `${nameOf(row)}: ${value || "taken back"}`);
}

let finger = false;
let advanced = 0;

desk.addEventListener(
  "click",
  (event) => {
    if (!event.target.matches(".crit input[type=radio]")) return;
    // The second half of a double tap would mark what has come in hand meanwhile.
    if (event.detail > 1 && Date.now() - advanced < DOUBLE_MS) event.preventDefault();
    finger = event.detail > 0;
  },
  true,
);

desk.addEventListener("change", (event) => {
  const row = event.target.closest(".crit[data-place]");
  if (!row) return;
  const gap = missing(row);
  press(row, event.target.value);
  const next = gap && finger && nextGap();
  finger = false;
  if (next) {
    advanced = Date.now();
    if (!row.matches(".in-hand")) markInHand(row);
    take(next);
    find("#say").textContent = nameOf(next);
  } else if (row.dataset.code && !row.matches(".in-hand")) take(row);
});

function markInHand(row) {
  inHand()?.classList.remove("in-hand");
  if (row.dataset.code) row.classList.add("in-hand");
}

document.addEventListener("keydown", (event) => {
  const row = event.target.closest?.(".crit[data-place]");
  if (!row || !event.target.matches("input[type=radio]") || event.ctrlKey || event.metaKey || event.altKey) return;
  const radio = find(`input[value="${CSS.escape(event.key)}"]`, row);
  if (!radio && event.key !== "Enter") return;
  event.preventDefault();
  if (radio && radio.value !== levelOf(row)) press(row, radio.value);
  const next = nextGap();
  if (!next) return;
  take(next);
  find("input[type=radio]", next).focus({ preventScroll: true });
});

document.addEventListener("click", (event) => {
  const one = event.target.closest("a, button");
  if (!one || event.ctrlKey || event.metaKey || event.shiftKey) return;
  const row = one.closest(".crit[data-place]");
  let done = true;
  if (one.matches("[data-clear]")) press(row, "");
  else if (one.matches(".crit .take")) take(row);
  else if (one.matches("[data-zone-link]")) takeZone(one.dataset.zoneLink);
  else if (one.matches("#step-next")) take(rowAt(one.dataset.take) ?? find("#overall"));
  else if (one.matches("#step-back")) goBack();
  else if (one.matches("[data-way]")) walk(one.dataset.way);
  else done = false;
  if (done) event.preventDefault();
});

function goBack() {
  const row = rowAt(past.pop());
  if (row) take(row, { back: true });
}

function walk(way) {
  find("#levels").dataset.by = way;
  for (const one of every("[data-way]")) {
    if (one.dataset.way === way) one.setAttribute("aria-current", "true");
    else one.removeAttribute("aria-current");
  }
  try {
    localStorage.setItem(WAY, way);
  } catch {
    // The address has it.
  }
  keepHand({ by: way });
  paint();
}

// Zones, time and note.

document.addEventListener(
  "submit",
  (event) => {
    if (event.target.matches("#zone-out form")) {
      const zone = event.target.elements.zone.value;
      const field = event.target.elements.reason;
      const reason = field?.value.trim() ?? "";
      if (field && !reason) return; // the site says that it is needed
      event.preventDefault();
      put(`zone-${zone}`, reason, zoneStands(zone), `${wordsOf(zone)}: ${reason ? `left out, ${reason}` : "judged after all"}`);
      if (field) field.value = "";
      const next = reason && nextGap();
      if (next) take(next);
    } else if (event.target.matches("#notes")) {
      event.preventDefault();
      every("[data-stands]", event.target).forEach(pressNote);
    }
  },
  true,
);

function pressNote(field) {
  const value = field.value.trim();
  const stands = waitingAt(field.name)?.value ?? field.dataset.stands;
  if (value !== stands) put(field.name, value, field.dataset.stands, field.labels[0].firstChild.textContent.trim());
}

let typing = 0;
find("#notes").addEventListener("input", ({ target }) => {
  clearTimeout(typing);
  typing = setTimeout(pressNote, 1_000, target);
});
find("#notes").addEventListener("change", ({ target }) => pressNote(target));

// What the site says.

function stand(place, value) {
  if (place.startsWith("fault-")) standMark(place.slice(6), value);
  else if (place.startsWith("level-") || place === "overall") seatOf(place).dataset.stands = value;
  else if (place.startsWith("zone-")) {
    const chip = find(`[data-zone-link="${place.slice(5)}"]`);
    chip.dataset.out = value.startsWith("levels:") ? "" : value;
    if (!chip.dataset.out) return;
    for (const row of rows()) if (row.dataset.zone === place.slice(5)) row.dataset.stands = "";
  } else {
    const field = find(`#notes [name=${place}]`);
    // Typed on meanwhile: that stays.
    if (field.value.trim() === (waitingAt(place)?.value ?? field.dataset.stands)) field.value = value;
    field.dataset.stands = value;
  }
}

// The newest revision this page knows of, and what was kept since the answers that show less.
let newest = 0;
let kept = [];

document.addEventListener("touches:state", ({ detail }) => {
  if (detail.touches) {
    for (const { place, value } of detail.touches) {
      stand(place, value);
      kept.push({ place, value, revision: detail.revision });
    }
    // Until the desk came anew this page does not show what stands.
    if (!detail.elsewhere) find("#rev").value = newest = detail.revision;
    find("#kept span").textContent = `Draft kept ${detail.kept}`;
    // The site draws a mark better than it can be drawn here.
    const marks = detail.touches.some(({ place }) => place.startsWith("fault-"));
    if (detail.elsewhere || marks) void refresh();
  }
  paint();
});

// A head that was asked for may come when another zone is in hand by now: then that one stays. It
// may also show less than was kept meanwhile.
document.addEventListener("chair:arrived", () => {
  const shown = Number(find("#rev").value);
  kept = kept.filter(({ revision }) => revision > shown);
  for (const { place, value } of kept) stand(place, value);
  find("#rev").value = newest = Math.max(shown, newest);
  const row = rowAt(hand().get("row"));
  if (row) {
    inHand()?.classList.remove("in-hand");
    row.classList.add("in-hand");
  }
  paint();
  show();
});

// The page as it was left, with what waits.
for (const field of every("#notes [data-stands]")) {
  const waits = waitingAt(field.name);
  if (waits) field.value = waits.value;
}
let way = hand().get("by") ?? "";
try {
  if (!new URLSearchParams(location.search).has("by")) way = localStorage.getItem(WAY) ?? way;
} catch {
  // Nothing is remembered here.
}
if (find("#levels") && way !== find("#levels").dataset.by) walk(way);
desk.dataset.outbox = "here";
paint();
if (location.hash === "#decide") find("#decide")?.scrollIntoView({ block: "center" });
