// Photos at the chair: made small here, kept on this device until the site has them, sent once.
// Drawing a picture anew leaves behind what the camera wrote beside it; the site does so again.
import { newKey } from "./device_store.js";

const LONGEST = 1600;
const QUALITY = 0.85;
const EVERY_MS = 15_000;
const PATIENCE_MS = 60_000;
const STORE = "waiting";

const section = () => document.getElementById("photos");
const form = () => section().querySelector("[data-photo-form]");

function opened() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open("blockwork-photos", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "key" });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

async function within(mode, work) {
  const db = await opened();
  try {
    return await new Promise((resolve, reject) => {
      const asked = work(db.transaction(STORE, mode).objectStore(STORE));
      asked.onsuccess = () => resolve(asked.result);
      asked.onerror = () => reject(asked.error);
    });
  } finally {
    db.close();
  }
}

// A browser that keeps nothing still has this page.
const memory = new Map();
const keep = (photo) => within("readwrite", (store) => store.put(photo)).catch(() => memory.set(photo.key, photo));
const drop = (key) => {
  memory.delete(key);
  return within("readwrite", (store) => store.delete(key)).catch(() => {});
};
async function waiting() {
  const stored = await within("readonly", (store) => store.getAll()).catch(() => []);
  return [...stored, ...memory.values()].filter((photo) => photo.url === form().action);
}

async function small(file) {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  const by = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(picture.width * by);
  canvas.height = Math.round(picture.height * by);
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  return new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
}

function say(words) {
  const line = section().querySelector("[data-photos-waiting]");
  line.hidden = !words;
  line.textContent = words;
}

async function tell(why = "") {
  const count = (await waiting()).length;
  const photos = count === 1 ? "One photo waits" : `${count} photos wait`;
  say(count ? `${photos} on this device and goes up by itself. ${why}`.trim() : "");
}

function show(html) {
  const box = document.createElement("template");
  box.innerHTML = html;
  section().replaceWith(box.content);
}

function posted(photo) {
  const body = new FormData();
  body.set("csrfmiddlewaretoken", form().elements.csrfmiddlewaretoken.value);
  for (const name of ["key", "shows", "allowed"]) body.set(name, photo[name]);
  body.set("photo", photo.blob, "photo.jpg");
  return fetch(photo.url, {
    method: "POST",
    body,
    headers: { "HX-Request": "true" },
    redirect: "manual",
    signal: AbortSignal.timeout(PATIENCE_MS),
  });
}

// Without its reason a photo is not kept here either. The site says so, and the photo stays chosen:
// one that was just taken is nowhere else.
async function askWhy(photo, files) {
  try {
    const answer = await posted(photo);
    if (answer.status === 422) {
      show(await answer.text());
      form().elements.photo.files = files;
      document.getElementById("photos").querySelector(".errors")?.focus();
      return;
    }
  } catch {
    // No signal: the line below says what is missing.
  }
  say("Say why the photo may be kept, then send it again.");
}

async function attempt(photo) {
  const answer = await posted(photo);
  if (answer.ok || answer.status === 422) {
    const html = await answer.text();
    await drop(photo.key);
    show(html);
    return "";
  }
  return answer.type === "opaqueredirect" || answer.status === 403
    ? "You were signed out: sign in again."
    : "The site did not take it: it is tried again.";
}

let underway = Promise.resolve();
function send() {
  underway = underway.then(async () => {
    let why = "";
    for (const photo of await waiting()) {
      try {
        why = await attempt(photo);
      } catch {
        why = "No signal.";
      }
      if (why) break;
    }
    await tell(why);
  });
  return underway;
}

document.addEventListener("submit", async (event) => {
  if (!event.target.matches("[data-photo-form]")) return;
  const fields = event.target.elements;
  const file = fields.photo.files[0];
  if (!file) return; // the site says what is missing
  event.preventDefault();
  let blob = file;
  try {
    blob = (await small(file)) ?? file;
  } catch {
    // Not a picture that this browser can draw: the site says so, or draws it.
  }
  const photo = { key: fields.key.value, url: event.target.action, blob };
  for (const name of ["shows", "allowed"]) photo[name] = fields[name].value;
  if (!photo.allowed) {
    await askWhy(photo, fields.photo.files);
    return;
  }
  await keep(photo);
  fields.photo.value = "";
  fields.key.value = newKey(); // the next photo is another one
  say("Sending the photo …");
  await send();
});

window.addEventListener("online", send);
setInterval(() => void waiting().then((found) => found.length && send()), EVERY_MS);
void send();
