// A fresh key at every submit, so that a double submit makes one row, even from a page that was
// kept for work without signal. The server's own key stays where this script does not run.
import { newKey } from "./device_store.js";

// One key per form until an answer has come: a second press of the button sends the same key.
const sent = new WeakSet();

document.addEventListener("submit", (event) => {
  const form = event.target;
  const field = form.querySelector("input[data-client-key]");
  if (!field || sent.has(form)) return;
  field.value = newKey();
  sent.add(form);
});

// A page that comes back from the browser's memory is a new sheet of paper.
window.addEventListener("pageshow", (event) => {
  if (!event.persisted) return;
  for (const field of document.querySelectorAll("input[data-client-key]")) {
    sent.delete(field.form);
  }
});

// htmx swaps the answer in place: what it was sent with is used up.
document.addEventListener("htmx:afterRequest", (event) => sent.delete(event.target.closest("form")));
