// Touches at the chair go into an outbox on this device first, and from there to the site: at once,
// or when the connection is back. One box for each head, under the tokens of the assessor and the
// head, so that somebody else who signs in here neither sees nor sends it. In it the touches lie in
// the order they were made. Each has a key, by which the site keeps it once, and what the page knew
// to stand at its place: where something else stands by then, the assessor decides. It is on the
// pages where an assessor begins the day too, so that what a closed tablet kept goes up from there.
import { deviceStore, newKey } from "./device_store.js";

const EVERY_MS = 15_000;
const PATIENCE_MS = 12_000;
const SLOW_MS = 2_000;
const AT_ONCE = 50;

const line = () => document.getElementById("touches");
// The head of this page; none where the line tells of every head.
const { owner, token: HERE = "", url: URL_HERE } = line().dataset;
const store = deviceStore(`blockwork-touches:${owner}:`);

const read = (token = HERE) => store.read(token) ?? { touches: [] };
const write = (box, token = HERE) => store.write(token, box.touches.length ? box : null);

export const waiting = () => read().touches;
export const waitingAt = (place) => waiting().findLast((touch) => touch.place === place);

const shown = () => (HERE ? [HERE] : store.names());
const isShown = (token) => !HERE || token === HERE;

const undecided = (touch) => "stands" in touch || "refused" in touch;
const ready = (box) => (box.refused ? [] : box.touches.filter((touch) => !undecided(touch)));

// What stands at a place after a touch that was made there before.
function known(touch) {
  if ("stands" in touch) return touch.stands;
  return touch.tried && !("refused" in touch) ? touch.value : touch.was;
}

// Puts a touch into the box. `words` name it for whoever reads what waits.
export function put(place, value, was, words) {
  const box = read();
  const before = box.touches.filter((touch) => touch.place === place);
  const last = before.at(-1);
  // What was never on its way is replaced; what was may have arrived, and its value stand.
  box.touches = box.touches.filter((touch) => touch.place !== place || (touch.tried && !undecided(touch)));
  const knew = last ? known(last) : was;
  box.url = URL_HERE;
  if (value !== knew) {
    box.touches.push({ key: newKey(), place, value, was: knew, words, at: Date.now() });
  }
  write(box);
  tell("waiting");
  void send();
}

// What was pressed here counts after all, over what was found to stand.
export function keepMine(place) {
  const { value, was, words } = waitingAt(place);
  put(place, value, was, words);
}

export function drop(place) {
  const box = read();
  box.touches = box.touches.filter((touch) => touch.place !== place);
  write(box);
  tell("kept");
}

function dropAll(token) {
  write({ touches: [] }, token);
  tell("kept");
}

let state = "kept";
function tell(now, more = {}) {
  state = now;
  document.dispatchEvent(new CustomEvent("touches:state", { detail: { state, ...more } }));
  show();
}

// Takes out what was kept, and gives it back; marks what is to be decided.
function settle(token, told) {
  const box = read(token);
  const kept = [];
  for (const { key, state: became, words } of told) {
    const at = box.touches.findIndex((touch) => touch.key === key);
    if (at < 0) continue;
    const touch = box.touches[at];
    const later = box.touches.some((other, place) => place > at && other.place === touch.place);
    if (became === "kept") kept.push(touch);
    if (became === "kept" || later) box.touches.splice(at, 1);
    else if (became === "stale") touch.stands = words;
    else touch.refused = words;
  }
  write(box, token);
  return kept;
}

async function attempt(token, keepalive) {
  const box = read(token);
  const sent = ready(box).slice(0, AT_ONCE);
  if (!sent.length) return;
  if (!navigator.onLine) {
    if (isShown(token)) tell("lost");
    return;
  }
  for (const touch of sent) touch.tried = true;
  write(box, token);
  const form = new FormData();
  form.set("csrfmiddlewaretoken", document.querySelector("[name=csrfmiddlewaretoken]").value);
  form.set("touches", JSON.stringify(sent.map(({ key, place, value, was }) => ({ key, place, value, was }))));
  const rev = token === HERE && document.getElementById("rev");
  if (rev) form.set("rev", rev.value);
  let answer;
  let told;
  try {
    answer = await fetch(box.url, {
      method: "POST",
      body: form,
      redirect: "manual",
      keepalive,
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
    if (answer.ok || [400, 409].includes(answer.status)) told = await answer.json();
  } catch {
    if (isShown(token)) tell("lost");
    return;
  }
  const here = isShown(token) ? tell : () => {};
  if (told?.touches) {
    const kept = settle(token, told.touches);
    here("kept", { ...told, touches: kept });
    if (ready(read(token)).length) await attempt(token, keepalive);
  } else if (told || answer.status === 404) {
    const words = told?.refused ?? line().dataset.gone;
    write({ ...read(token), refused: words }, token);
    here("refused", { words });
  } else if (answer.type === "opaqueredirect" || answer.status === 403) here("signed-out");
  else here("lost");
}

// One after the other, so that touches arrive in their order.
const underway = new Map();
export function send({ token = HERE, keepalive = false } = {}) {
  const now = (underway.get(token) ?? Promise.resolve()).then(() => attempt(token, keepalive));
  underway.set(token, now.catch(() => {}));
  return now;
}

// When what is on its way from here has its answer, or none came.
export const settled = () => underway.get(HERE) ?? Promise.resolve();

function sendAll() {
  for (const token of store.names()) void send({ token });
}

// The line that says what waits.

function link(words, href) {
  const one = document.createElement("a");
  one.href = href;
  one.textContent = words;
  return one;
}

function button(words, press) {
  const one = document.createElement("button");
  one.type = "button";
  one.className = "link";
  one.textContent = words;
  one.addEventListener("click", press);
  return one;
}

// Where a place of a head is decided on.
function whereIs(box, place) {
  const head = box.url.replace(/touches\/$/, "");
  const [, kind, rest] = /^(level|zone|fault)-(.*)$/.exec(place) ?? [];
  if (kind === "fault") return `${head}?fault=${rest}#decide`;
  if (kind === "zone") return `${head}?zone=${rest}#decide`;
  if (!kind) return `${head}#decide`;
  const zone = rest.slice(rest.lastIndexOf("-") + 1);
  return `${head}?${zone && `zone=${zone}&`}row=${rest}#decide`;
}

const counted = (count, words) =>
  count === 1 ? words.one : words.many.replace("%", String(count));

export function show() {
  const { dataset } = line();
  const boxes = shown().map((token) => ({ token, ...read(token) }));
  const touches = boxes.flatMap((box) => box.touches);
  const waits = counted(touches.length, dataset);
  const list = document.createElement("span");
  list.className = "d-block quiet";
  list.textContent = touches.map((touch) => touch.words).join(" · ");
  const refused = boxes.find((box) => box.refused);
  const toDecide = boxes.find((box) => box.touches.some(undecided));
  const open = toDecide?.touches.find(undecided);
  const slow = !HERE || touches.some((touch) => Date.now() - touch.at > SLOW_MS);
  const parts = [];
  if (!touches.length) line().hidden = true;
  else if (refused) parts.push(`${refused.refused} `, button(dataset.drop, () => dropAll(refused.token)), list);
  else if (state === "signed-out") parts.push(`${dataset.signedOut} ${waits} `, link(dataset.signIn, location.href));
  else if (open) parts.push(`${"stands" in open ? dataset.choose : dataset.look} `, link(open.words, whereIs(toDecide, open.place)));
  else if (state === "asked") parts.push(`${dataset.first} ${waits}`, list);
  else if (state === "lost" || slow) parts.push(waits);
  if (!parts.length) {
    line().hidden = true;
    return;
  }
  // Said once: the line is read out where it changes.
  const words = parts.map((part) => part.textContent ?? part).join("");
  if (!line().hidden && line().textContent === words) return;
  line().hidden = false;
  line().replaceChildren(...parts);
  line().classList.toggle("not-kept", ["signed-out", "asked"].includes(state) || Boolean(open || refused));
}

// What must not go before the touches: submitting, and the page on which that is done.
const first = (event) => {
  const sender = event.submitter ?? event.target.closest?.("a");
  if (!sender?.matches("[data-touches-first], [name=submit]") || !waiting().length) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  void send().then(() => {
    if (!waiting().length) sender.click();
    else tell(["signed-out", "refused"].includes(state) ? state : "asked");
  });
};
document.addEventListener("submit", first, true);
document.addEventListener("click", first, true);

window.addEventListener("online", sendAll);
window.addEventListener("pageshow", sendAll);
window.addEventListener("pagehide", () => void send({ keepalive: true }));
setInterval(sendAll, EVERY_MS);
setInterval(show, SLOW_MS);
show();
