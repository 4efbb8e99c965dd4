// Head sheets: a press on a zone or a foil in the drawing, or on its row, chooses it; drawing and
// row show it, and a sentence says what it is. Rows become buttons here: without a script there is
// nothing to press, and the table reads as it is. Switches and "Larger" are style alone; the
// Escape key takes "Larger" back.
const SHEET = "[data-head-sheet]";
const KEPT = "[data-switch], [data-larger]";
const FINGER_PX = [0, 4, 8, 12];
const ROUND = [0, 1, 2, 3, 4, 5, 6, 7].map((step) => (step * Math.PI) / 4);
const OFTEN = 2; // the last parts of a sentence may repeat a word: "crown, crown"

const cellsOf = (row) => [...row.cells].map((cell) => cell.textContent.trim());
const withWord = (words, pattern) => (pattern ?? "{}").replace("{}", words);

// "Foil 12, crown, 84 mm, 10 stitches, beside 10, 11, laid after 11"
function sentence(row) {
  const table = row.closest("table");
  const heads = table.tHead.rows[0].cells;
  const parts = [];
  cellsOf(row).forEach((words, n) => {
    if (words === "\u2013" || parts.slice(-OFTEN).includes(words)) return;
    parts.push(withWord(words, heads[n].dataset.say));
  });
  const before = row.previousElementSibling;
  if (table.dataset.after) {
    parts.push(before ? withWord(cellsOf(before)[0], table.dataset.after) : table.dataset.first);
  }
  return parts.join(", ");
}

const keyOf = ({ dataset: { zone, foil } }) =>
  foil ? `[data-foil="${foil}"]` : `[data-zone="${zone}"]`;

function choose(sheet, key) {
  const head = sheet.querySelector(`th${key}`);
  if (!head) return;
  const off = head.parentElement.classList.contains("chosen");
  for (const one of sheet.querySelectorAll(".chosen")) one.classList.remove("chosen");
  for (const one of sheet.querySelectorAll(".hd-choose")) one.ariaPressed = "false";
  if (!off) {
    for (const drawn of sheet.querySelectorAll(`svg ${key}`)) {
      drawn.classList.add("chosen");
      // Its outline must not lie under the zones drawn after it.
      if (drawn.matches(".hd-zone")) drawn.parentElement.append(drawn);
    }
    head.parentElement.classList.add("chosen");
    head.querySelector(".hd-choose").ariaPressed = "true";
  }
  if (!off) show(sheet, key);
  sheet.querySelector("[data-said]").textContent = off ? "" : sentence(head.parentElement);
}

// On a phone the views are a strip: it moves to the first one that shows what was chosen.
function show(sheet, key) {
  const strip = sheet.querySelector(".sheet5");
  const seen = strip.getBoundingClientRect();
  const figures = [...strip.querySelectorAll("figure")].filter((one) => one.querySelector(key));
  const places = figures.map((one) => one.getBoundingClientRect().left - seen.left);
  if (places.some((left) => left >= -1 && left < seen.width / 2)) return;
  if (places.length) strip.scrollLeft += places[0];
}

// A finger is wider than a foil: the nearest foil around the press, else the zone under it.
function pressed(event) {
  const svg = event.target.closest(`${SHEET} svg.hd`);
  if (!svg) return null;
  for (const far of FINGER_PX) {
    for (const turn of far ? ROUND : [0]) {
      const [x, y] = [far * Math.cos(turn), far * Math.sin(turn)];
      const under = document.elementFromPoint(event.clientX + x, event.clientY + y);
      const foil = under?.closest("[data-foil]");
      if (foil && svg.contains(foil)) return foil;
    }
  }
  return event.target.closest("[data-zone]");
}

function makeReady(sheet) {
  if (!sheet.querySelector("[data-said]")) return;
  sheet.classList.add("ready");
  for (const head of sheet.querySelectorAll("tbody th")) {
    if (head.querySelector(".hd-choose")) continue;
    head.dataset[head.closest("table").dataset.of] = head.dataset.key ?? head.textContent.trim();
    const button = document.createElement("button");
    button.type = "button";
    button.className = "hd-choose";
    button.textContent = head.textContent;
    button.ariaPressed = "false";
    button.ariaLabel = sentence(head.parentElement);
    head.replaceChildren(button);
  }
}

document.addEventListener("click", (event) => {
  const one = event.target.closest(".hd-choose")?.parentElement ?? pressed(event);
  if (one) choose(one.closest(SHEET), keyOf(one));
});

document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  for (const box of document.querySelectorAll(`${SHEET} [data-larger]:checked`)) {
    box.checked = false;
    if (!box.closest("figure").contains(document.activeElement)) continue;
    box.focus();
  }
});

// A sheet that the site draws again keeps its switches as they stand.
const nameOf = (box) => box.dataset.switch ?? box.ariaLabel;
let kept = new Map();
document.addEventListener("htmx:beforeSwap", ({ detail: { target } }) => {
  kept = new Map();
  for (const box of target.querySelectorAll(`:is(${KEPT})`)) kept.set(nameOf(box), box.checked);
});
document.addEventListener("htmx:load", ({ target }) => {
  for (const box of target.querySelectorAll(`:is(${KEPT})`)) {
    box.checked = kept.get(nameOf(box)) ?? box.checked;
  }
  target.querySelectorAll(SHEET).forEach(makeReady);
});

document.querySelectorAll(SHEET).forEach(makeReady);
