// What the scoring page asks the site for: the head in another view or size, and as it stands. What
// is typed stays when the answer comes, and so does the focus.
import { every, find, hand, keepHand, keepMyHand } from "./chair_hand.js";
import { bestView, middleOf, standsIn, svgOf, turnHere } from "./chair_head.js";
import { settled } from "./touch_outbox.js";

const WAIT_MS = 1_500;
const PATIENCE_MS = 10_000;
const desk = document.getElementById("desk");

// One after the other; what is asked for meanwhile is asked for once, as the hand is then.
let underway = null;
let again = false;

export async function refresh() {
  again = true;
  underway ??= (async () => {
    while (again) {
      again = false;
      await bring();
    }
    underway = null;
  })();
  return underway;
}

async function bring() {
  if (!navigator.onLine) {
    lost();
    return;
  }
  desk.ariaBusy = "true";
  // After the touches that are on their way: the answer knows of them then.
  await Promise.race([settled(), new Promise((done) => setTimeout(done, WAIT_MS))]);
  const asked = hand();
  asked.set("rev", find("#rev").value);
  let answer;
  let html = "";
  try {
    answer = await fetch(`${location.pathname}?${asked}`, {
      headers: { "HX-Request": "true" },
      redirect: "manual",
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
    if (answer.ok) html = await answer.text();
  } catch {
    // No answer came.
  }
  desk.ariaBusy = null;
  if (html) swap(answer.headers.get("HX-Retarget"), html);
  else lost();
}

// Without an answer the head turns to the view that was asked for, as well as it can be drawn here.
function lost() {
  if (!find("#head")) return;
  const zone = hand().get("zone");
  const view = hand().get("view") || (zone && bestView(middleOf(zone)));
  if (view) turnHere(view);
  document.dispatchEvent(new CustomEvent("chair:drawn"));
}

window.addEventListener("online", () => standsIn() && void refresh());

function swap(target, html) {
  const fields = every("#chair #fault :is(input, select)[id]").filter(changed);
  const typed = fields.map((field) => [field.id, field.value]);
  const renames = find("#which")?.open;
  const focused = desk.contains(document.activeElement) ? document.activeElement.id : "";
  const come = document.createElement("template");
  come.innerHTML = html;
  for (const part of every("[hx-swap-oob]", come.content)) {
    const there = document.getElementById(part.id);
    if (part.getAttribute("hx-swap-oob") === "innerHTML") there.replaceChildren(...part.childNodes);
    else there.replaceWith(part);
    part.removeAttribute("hx-swap-oob");
  }
  find(target).replaceChildren(come.content);
  for (const [id, value] of typed) {
    const field = document.getElementById(id);
    if (field) field.value = value;
  }
  if (renames) find("#which").open = true;
  keepMyHand();
  if (find("#head")) keepHand({ view: svgOf().dataset.view });
  document.dispatchEvent(new CustomEvent("chair:arrived"));
  const one = focused && document.getElementById(focused);
  if (one && one !== document.activeElement) one.focus({ preventScroll: true });
}

function changed(field) {
  if (field.type === "hidden") return field.value;
  if (field.options) return !field.options[field.selectedIndex]?.defaultSelected;
  return field.value !== field.defaultValue;
}
