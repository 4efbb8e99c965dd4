// Faults of a reference head: a tap puts the one that is chosen there. What stands in the fields is
// drawn; a zone that is chosen from its list means its middle.
import { every, find } from "./chair_hand.js";
import { anglesOf, drawLarge, middleOf, placeAt, placeUnder, viewOf, zoneIn, zoneWords } from "./chair_head.js";
import { pointed } from "./head_geometry.js";

const pad = find("#head");
const buttons = every("[data-place]", pad);
const field = (part, number) => pad.closest("form").elements[`${part}-${number}`];
const chosen = () => find('[aria-pressed="true"]', pad).dataset.place;

// As academy/assessment/in_hand.py reads it; null for what is no place.
function placeOf(number) {
  const [azimuth, elevation, more] = field("place", number).value.trim().split(/\s+/).map(Number);
  if (Number.isFinite(azimuth) && Number.isFinite(elevation) && more === undefined) {
    return placeAt({ azimuth, elevation });
  }
  const zone = field("zone", number).value;
  return zone && !field("place", number).value.trim() ? middleOf(zone) : null;
}

function paint() {
  const marks = buttons
    .map(({ dataset: { place } }) => ({ number: place, at: placeOf(place), chosen: place === chosen() }))
    .filter((mark) => mark.at);
  for (const svg of every("svg", pad)) drawLarge(svg, viewOf(svg), marks);
}

function choose(number) {
  for (const one of buttons) one.ariaPressed = String(one.dataset.place === number);
  paint();
}

function tap(svg, u, v) {
  const view = viewOf(svg);
  const zone = zoneIn(view, u, v);
  const at = zone && placeUnder(view, u, v);
  if (!at) {
    find("#say").textContent = "That was beside the hair. Tap inside a zone.";
    return;
  }
  const number = chosen();
  const { azimuth, elevation } = anglesOf(at);
  field("place", number).value = `${azimuth} ${elevation}`;
  field("zone", number).value = zone;
  const named = field("fault", number).value ? "" : " Choose which fault it is, below.";
  find("#say").textContent = `Fault ${number} lies there, ${zoneWords(zone)}.${named}`;
  paint();
}

pad.addEventListener("click", (event) => {
  const button = event.target.closest("[data-place]");
  const svg = event.target.closest("svg");
  if (button) choose(button.dataset.place);
  else if (svg) tap(svg, ...pointed(svg, event));
});

pad.closest("form").addEventListener("change", ({ target }) => {
  const [part, number] = target.name.split("-");
  if (part === "zone") field("place", number).value = "";
  if (["fault", "zone", "place"].includes(part)) choose(number);
});

pad.hidden = false;
choose(buttons.find(({ dataset: { place } }) => !placeOf(place))?.dataset.place ?? "1");
