// A sheet on a phone. All its questions are on the page, one is shown; every change goes into the
// outbox (outbox.js) and up from there, so that no signal is needed to go on. Without this script
// each question is a form of its own.
const sheet = document.getElementById("sheet");
const token = sheet.dataset.sheet;
const questions = [...sheet.querySelectorAll("[data-question]")];
const kept = document.getElementById("kept");
const goOn = document.getElementById("go-on");
const FIELD = /^q\d+-/;
const PAUSE_MS = 600;

const lineOf = (name) => sheet.querySelector(`[data-line="${CSS.escape(name)}"]`);
const formOf = (name) => lineOf(name).closest("form");
const shown = () => questions.find((question) => !question.hidden);

// The text of a field, as the site puts several values together (queries/lines.py, joined).
function textOf(name) {
  const texts = new FormData(formOf(name)).getAll(name);
  if (texts.length <= 1) return texts[0] ?? "";
  return texts.some((text) => text.trim()) ? texts.join(", ").replace(/[ ,]+$/, "") : "";
}

function fill(name, text) {
  const controls = [...formOf(name).elements].filter((one) => one.name === name);
  const parts = text.split(",").map((part) => part.trim());
  controls.forEach((control, place) => {
    if (control.type === "checkbox") control.checked = parts.includes(control.value);
    else if (control.type === "radio") control.checked = control.value === text;
    else if (control.type === "select-one") control.value = parts[place] ?? "";
    else if (control.type !== "hidden") control.value = text;
  });
  lineOf(name).dispatchEvent(new CustomEvent("line:filled", { bubbles: true }));
}

// What is open, counted here: it holds without signal too.

function isOpen(line) {
  const places = [...line.querySelectorAll(".places select")];
  return !textOf(line.dataset.line).trim() || places.some((place) => !place.value);
}

function count() {
  let open = 0;
  questions.forEach((question, place) => {
    const lines = [...question.querySelectorAll("[data-line]")];
    const here = lines.filter(isOpen).length;
    open += here;
    const hop = document.querySelectorAll(".hops button")[place];
    if (!hop) return;
    const word = hop.querySelector("span");
    word.textContent = here ? hop.dataset.open.replace("%", String(here)) : hop.dataset.filled;
    word.classList.toggle("hi", here > 0);
  });
  const bar = document.getElementById("open-lines");
  const said = bar.querySelector("[data-open]");
  const words = open === 1 ? bar.dataset.one : bar.dataset.many.replace("%", String(open));
  said.textContent = open ? words : bar.dataset.none;
  said.classList.toggle("hi", open > 0);
}

function pressNone(name, text) {
  const button = lineOf(name).querySelector("button[name=none]");
  button?.setAttribute("aria-pressed", String(text.trim().toLowerCase() === "none"));
}

// Keeping.

const outbox = () => window.blockworkOutbox;
const ready = new Promise((resolve) => {
  if (outbox()) resolve();
  else document.addEventListener("outbox:ready", resolve, { once: true });
});
// Fields that were typed in before the outbox was there.
const early = new Set();
const wasOf = (name) => formOf(name).elements[`was-${name}`];

function put(name) {
  if (!outbox()) {
    early.add(name);
    return;
  }
  const text = textOf(name);
  if (text === wasOf(name).value && !outbox().fieldsOf(token)[name]) return;
  outbox().put(token, sheet.dataset.outbox, name, text, wasOf(name).value);
}

const send = async (how) => outbox()?.send(token, sheet.dataset.outbox, how) ?? false;

let pause;
function changed(name, { now = false } = {}) {
  put(name);
  pressNone(name, textOf(name));
  count();
  clearTimeout(pause);
  if (now) void send();
  else pause = setTimeout(send, PAUSE_MS);
}

sheet.addEventListener("input", (event) => {
  if (FIELD.test(event.target.name)) changed(event.target.name);
});
sheet.addEventListener("change", (event) => {
  const { name, value, checked } = event.target;
  if (!FIELD.test(name)) return;
  if (event.target.type === "checkbox" && checked) {
    // "None of these" and any of them exclude each other.
    for (const other of formOf(name).elements) {
      if (other.name !== name || other.type !== "checkbox") continue;
      if ((other.value === "none") !== (value === "none")) other.checked = false;
    }
  }
  changed(name, { now: true });
});
window.addEventListener("pagehide", () => {
  if (outbox() && Object.keys(outbox().fieldsOf(token)).length) void send({ keepalive: true });
});

let state = "kept";
function say(words) {
  kept.textContent = words;
}

function sayWaiting(waiting) {
  say(waiting === 1 ? kept.dataset.one : kept.dataset.many.replace("%", String(waiting)));
}

document.addEventListener("outbox:state", ({ detail }) => {
  if (detail.token !== token) return;
  state = detail.state;
  kept.classList.toggle("not-kept", detail.state === "refused" || detail.state === "signed-out");
  for (const [name, line] of Object.entries(detail.lines ?? {})) {
    // Typed on while it was on its way: the next answer says how that reads.
    const same = textOf(name) === detail.sent[name].text;
    if (!line.stale) wasOf(name).value = line.stands;
    else lineOf(name).dataset.stands = line.stands;
    if (!same) continue;
    document.getElementById(`id_${name}_note`).outerHTML = line.note;
    const wrong = lineOf(name).querySelector(".invalid-feedback") !== null;
    for (const control of formOf(name).elements) {
      if (control.name === name) control.toggleAttribute("aria-invalid", wrong);
      if (control.name === name && wrong) control.setAttribute("aria-invalid", "true");
    }
    lineOf(name).dispatchEvent(new CustomEvent("line:told", { bubbles: true }));
  }
  if (detail.state === "refused") say(detail.words);
  else if (detail.state === "signed-out") saySignedOut();
  else if (detail.stale) say(kept.dataset.choose);
  else if (detail.state === "lost" && detail.waiting) sayWaiting(detail.waiting);
  else if (detail.state === "kept") {
    const at = new Date().toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
    say(kept.dataset.kept.replace("%", at));
  }
});

function saySignedOut() {
  const link = document.createElement("a");
  link.href = location.href;
  link.textContent = kept.dataset.signIn;
  kept.replaceChildren(`${kept.dataset.signedOut} `, link);
}

// From question to question.

function show(number, { past = false } = {}) {
  const question = questions[Number(number) - 1];
  if (!question) return;
  for (const one of questions) one.hidden = one !== question;
  document.querySelectorAll(".hops button").forEach((hop, place) => {
    if (questions[place] === question) hop.setAttribute("aria-current", "step");
    else hop.removeAttribute("aria-current");
    hop.setAttribute("form", `sheet-${number}`);
  });
  const last = Number(number) === questions.length;
  goOn.setAttribute("form", `sheet-${number}`);
  goOn.value = last ? "end" : String(Number(number) + 1);
  const words = last ? goOn.dataset.end : goOn.dataset.next.replace("%", goOn.value);
  goOn.querySelector("span").textContent = words;
  document.title = document.title.replace(/\d+/, number);
  if (past) return;
  history.pushState({ question: number }, "", `?question=${number}`);
  scrollTo(0, 0);
  question.querySelector("h1").focus({ preventScroll: true });
}

window.addEventListener("popstate", () => {
  show(new URLSearchParams(location.search).get("question") ?? "1", { past: true });
});

// Whether the site has all that was typed, also what was typed while it was on its way.
async function allUp() {
  for (let tries = 0; tries < 3; tries++) {
    if (await send({ ping: true })) return true;
    if (state !== "kept") return false;
  }
  return false;
}

let asking = false;
async function handIn(form) {
  // Pressed again while the first press is still asking whether all is up.
  if (asking) return;
  asking = true;
  const up = await allUp();
  asking = false;
  if (!up) {
    if (state === "lost") say(kept.dataset.offline);
    return;
  }
  if (Object.values(outbox().fieldsOf(token)).some((field) => field.stale)) {
    toUndecided();
    return;
  }
  handing = true;
  form.requestSubmit(form.querySelector("button[name=to]"));
}

function toUndecided() {
  const name = Object.entries(outbox().fieldsOf(token)).find(([, field]) => field.stale)[0];
  const question = lineOf(name).closest("[data-question]");
  if (question !== shown()) show(question.dataset.question);
  lineOf(name).querySelector(".two-answers button")?.focus();
}

const presses = {
  to: (value, form) => (value === "end" ? handIn(form) : show(value)),
  none(name) {
    const pressed = lineOf(name).querySelector("[name=none]").getAttribute("aria-pressed") === "true";
    fill(name, pressed ? "" : "none");
    changed(name, { now: true });
  },
  theirs(name) {
    outbox().drop(token, name);
    wasOf(name).value = lineOf(name).dataset.stands;
    fill(name, lineOf(name).dataset.stands);
    // Nothing changes by this, but the answer brings how the line reads.
    outbox().put(token, sheet.dataset.outbox, name, textOf(name), wasOf(name).value);
    count();
    void send();
  },
  mine(name) {
    wasOf(name).value = lineOf(name).dataset.stands;
    outbox().decide(token, name, wasOf(name).value);
    void send();
  },
};

let handing = false;
sheet.addEventListener("submit", (event) => {
  // Where the outbox did not come, each question is a form of its own, as without script.
  if (handing || !outbox()) return;
  const { name, value } = event.submitter ?? {};
  event.preventDefault();
  if (name in presses) presses[name](value, event.target);
  else
    lineOf(value.split(" ")[0]).dispatchEvent(
      new CustomEvent("line:pressed", { bubbles: true, detail: { name, value } }),
    );
});

// Other scripts of this page fill a line and say so.
sheet.addEventListener("line:typed", ({ detail: { name, text } }) => {
  fill(name, text);
  changed(name, { now: true });
});

// The time of a test is up: what is typed goes up, and the sheet is handed in as it stands.
document.addEventListener("time:up", async () => {
  sheet.inert = true;
  await ready;
  if (await allUp()) document.getElementById("time-up").requestSubmit();
  else if (state === "lost") say(kept.dataset.offline);
});

// A page that is opened again has what waits, whatever the site gave it.
function begin() {
  for (const [name, field] of Object.entries(outbox().fieldsOf(token))) {
    if (!lineOf(name) || early.has(name)) continue;
    fill(name, field.text);
    pressNone(name, field.text);
    if (field.stale) outbox().decide(token, name, field.was);
  }
  early.forEach(put);
  count();
  if (Object.keys(outbox().fieldsOf(token)).length) void send();
}

window.addEventListener("pageshow", () => {
  handing = false;
});
void ready.then(begin);

// The line in work decides which givens stay in sight.
sheet.addEventListener("focusin", (event) => {
  const line = event.target.closest("[data-needs]");
  const crib = line?.closest("form").querySelector(".crib");
  const every = crib?.querySelectorAll(".crib-all span") ?? [];
  if (!every.length || !line.dataset.needs) return;
  const wanted = line.dataset.needs.split(" ").map((place) => every[Number(place)]);
  const apart = wanted.flatMap((one) => [one.cloneNode(true), " "]);
  crib.querySelector(".crib-now").replaceChildren(...apart);
});
