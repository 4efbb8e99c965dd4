// What is typed into a session stays on this device until it is logged: one draft for each person
// and module, under their tokens, so that another person here does not see it. Signing out
// removes all of them (sign_out.js).
const PREFIX = "blockwork-draft:practice:";
const NOT_KEPT = new Set(["csrfmiddlewaretoken", "edition", "key"]);

function read(name) {
  try {
    return JSON.parse(localStorage.getItem(name)) ?? {};
  } catch {
    return {}; // a browser that keeps nothing, or a text that is not ours
  }
}

function write(name, draft) {
  try {
    localStorage.setItem(name, JSON.stringify(draft));
    return true;
  } catch {
    return false;
  }
}

// Enough to know the same words again without keeping them.
function digest(text) {
  let hash = 2166136261;
  for (const sign of text) hash = Math.imul(hash ^ sign.codePointAt(0), 16777619);
  return `${text.length}-${hash >>> 0}`;
}

const entriesOf = (form) => [...new FormData(form)].filter(([name]) => !NOT_KEPT.has(name));

function fill(form, entries) {
  for (const control of form.elements) {
    if (!control.name || NOT_KEPT.has(control.name)) continue;
    const values = entries.filter(([name]) => name === control.name).map(([, value]) => value);
    if (control.type === "checkbox" || control.type === "radio") {
      control.checked = values.includes(control.value);
    } else if (values.length) {
      control.value = values[0];
    }
  }
  for (const fold of form.querySelectorAll("details")) {
    fold.open ||= [...fold.querySelectorAll("input, select")].some((control) =>
      control.type === "radio" ? control.checked && control.value : control.value,
    );
  }
  document.dispatchEvent(new Event("draft:back"));
}

function keep(form) {
  const name = PREFIX + form.dataset.draft;
  const key = form.elements.key;
  const note = document.querySelector("[data-draft-note]");
  const kept = read(name);
  if ("fresh" in form.dataset && kept.entries) {
    fill(form, kept.entries);
    note.hidden = false;
  }
  const save = () => write(name, { ...read(name), entries: entriesOf(form) });
  form.addEventListener("input", save);
  form.addEventListener("change", save);
  document.querySelector("[data-draft-on]").hidden = !write(name, kept);
  document.querySelector("[data-draft-drop]").addEventListener("click", () => {
    localStorage.removeItem(name);
    location.reload();
  });
  // After client_key.js: the same words sent once more are the same session, whether the answer
  // was lost on the way or the page was opened again by the back button.
  document.addEventListener("submit", (event) => {
    if (event.target !== form) return;
    const body = digest(JSON.stringify(entriesOf(form)));
    const before = read(name);
    if (before.sent?.body === body) key.value = before.sent.key;
    write(name, { ...before, entries: entriesOf(form), sent: { body, key: key.value } });
  });
}

// The page of a logged session: its draft is done with; a digest of it stays, with its key.
function finish(key) {
  for (const name of Object.keys(localStorage).filter((word) => word.startsWith(PREFIX))) {
    const draft = read(name);
    if (draft.entries && draft.sent?.key === key) write(name, { sent: draft.sent });
  }
}

const form = document.querySelector("form[data-draft]");
if (form) keep(form);
const logged = document.querySelector("[data-draft-logged]");
if (logged) finish(logged.dataset.draftLogged);
