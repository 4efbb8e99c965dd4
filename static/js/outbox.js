// What is typed into a sheet goes into an outbox on this device first, and from there to the site:
// at once, or when the connection is back. One box for each sheet, under its token; in it for each
// field its last text, what the page knew to stand there, and when it was typed. It is on every
// page of somebody who is signed in, so that what waits goes up wherever they are.
import { deviceStore } from "./device_store.js";

const EVERY_MS = 15_000;
const PATIENCE_MS = 12_000;

const store = deviceStore("blockwork-outbox:");

// Boxes that the site does not take from who is signed in now: they wait for their owner.
const others = new Set();

const read = (token) => store.read(token) ?? { fields: {} };
const write = (token, box) => store.write(token, Object.keys(box.fields).length ? box : null);
const tokens = () => store.names().filter((token) => !others.has(token));

const waitingIn = (box) => Object.values(box.fields).filter((field) => !field.stale).length;
const all = () => tokens().reduce((sum, token) => sum + Object.keys(read(token).fields).length, 0);

function tell(token, state, more = {}) {
  const box = read(token);
  const stale = Object.values(box.fields).some((field) => field.stale);
  const detail = { token, state, waiting: waitingIn(box), stale, ...more };
  document.dispatchEvent(new CustomEvent("outbox:state", { detail }));
}

function put(token, url, name, text, was) {
  const box = read(token);
  // What the site has stays the same while the text changes: the first `was` holds.
  const before = box.fields[name]?.was ?? was;
  if (box.fields[name]?.text === text && !box.fields[name].stale) return;
  box.url = url;
  box.fields[name] = { text, was: before, at: Date.now() };
  write(token, box);
  tell(token, "waiting");
}

function body(fields) {
  const form = new FormData();
  form.set("csrfmiddlewaretoken", document.querySelector("[name=csrfmiddlewaretoken]").value);
  for (const [name, field] of fields) {
    form.set(name, field.text);
    form.set(`was-${name}`, field.was);
    form.set(`age-${name}`, String(Math.max(0, Date.now() - field.at)));
  }
  return form;
}

function takeOut(token, sent, lines) {
  const box = read(token);
  for (const [name, field] of sent) {
    const now = box.fields[name];
    const line = lines[name];
    if (!now) continue;
    if (now.at !== field.at || now.text !== field.text) now.was = line && !line.stale ? line.stands : now.was;
    else if (line?.stale) now.stale = true;
    else delete box.fields[name];
  }
  write(token, box);
}

const underway = new Map();

// True when the site has answered and nothing waits any more.
async function attempt(token, url, { keepalive, ping }) {
  const sent = Object.entries(read(token).fields).filter(([, field]) => !field.stale);
  if (!sent.length && !ping) return true;
  let answer;
  let told;
  try {
    answer = await fetch(url, {
      method: "POST",
      body: body(sent),
      redirect: "manual",
      keepalive,
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
    if (answer.ok || answer.status === 409) told = await answer.json();
  } catch {
    tell(token, "lost");
    return false;
  }
  const here = document.querySelector(`[data-sheet="${CSS.escape(token)}"]`);
  if (!here && (answer.status === 403 || answer.status === 404)) others.add(token);
  if (answer.type === "opaqueredirect" || answer.status === 403) {
    tell(token, "signed-out");
    return false;
  }
  if (answer.status === 409) {
    write(token, { ...read(token), refused: true });
    tell(token, "refused", { words: told.refused });
    return false;
  }
  if (!answer.ok) {
    tell(token, "lost");
    return false;
  }
  const { lines } = told;
  takeOut(token, sent, lines);
  tell(token, "kept", { lines, sent: Object.fromEntries(sent) });
  return waitingIn(read(token)) === 0;
}

// One after the other, so that texts of one field arrive in the order they were typed.
// With `ping` the site is asked even when nothing waits.
async function send(token, url, { keepalive = false, ping = false } = {}) {
  const address = url ?? read(token).url;
  if (!address) return true;
  const before = underway.get(token) ?? Promise.resolve();
  const now = before.then(() => attempt(token, address, { keepalive, ping }));
  underway.set(token, now.catch(() => false));
  return now;
}

function sendAll() {
  for (const token of tokens()) {
    const box = read(token);
    if (waitingIn(box) && !box.refused) void send(token);
  }
}

function fieldsOf(token) {
  return read(token).fields;
}

function drop(token, name) {
  const box = read(token);
  if (name) delete box.fields[name];
  else box.fields = {};
  write(token, box);
}

function decide(token, name, was) {
  const box = read(token);
  const field = box.fields[name];
  if (!field) return;
  delete field.stale;
  field.was = was;
  write(token, box);
}

window.addEventListener("online", sendAll);
window.addEventListener("pageshow", sendAll);
setInterval(sendAll, EVERY_MS);

// Signing out leaves nothing on a shared device, and loses nothing without asking.
document.addEventListener(
  "submit",
  async (event) => {
    const form = event.target;
    if (!form.matches('form[action$="/account/logout/"]') || !all()) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    await Promise.all(tokens().map((token) => send(token)));
    if (!all()) {
      form.requestSubmit();
      return;
    }
    const ask = document.getElementById("leaving");
    const words = all() === 1 ? ask.dataset.one : ask.dataset.many.replace("%", String(all()));
    ask.querySelector("[data-words]").textContent = words;
    ask.hidden = false;
    ask.focus();
    ask.querySelector("[data-leave]").onclick = () => {
      for (const token of tokens()) drop(token);
      form.requestSubmit();
    };
    ask.querySelector("[data-stay]").onclick = () => {
      ask.hidden = true;
    };
  },
  true,
);

// The page of a sheet that was handed in says what came too late for it.
const late = document.querySelector("[data-outbox-late]");
if (late && tokens().includes(late.dataset.outboxLate)) {
  late.hidden = false;
  late.querySelector("button").addEventListener("click", () => {
    drop(late.dataset.outboxLate);
    late.hidden = true;
  });
}

// For the pages that fill it (answering.js): modules of hashed names cannot import each other.
window.blockworkOutbox = { put, send, fieldsOf, drop, decide };
document.dispatchEvent(new CustomEvent("outbox:ready"));
