// A paper form is typed without a mouse: Enter goes to the next field, after the last one to the
// button. Without this script Enter keeps the draft and shows the form again.

const form = document.querySelector("[data-entering]");
const last = document.querySelector("[data-last]");

function fields() {
  return [...form.querySelectorAll("input:not([type=hidden]), select")];
}

form.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || event.isComposing) return;
  const all = fields();
  const here = all.indexOf(event.target);
  if (here < 0) return;
  event.preventDefault();
  const next = all[here + (event.shiftKey ? -1 : 1)] ?? (event.shiftKey ? all[0] : last);
  next.focus();
  if (next.select) next.select();
});
