// The counters' buttons, and the drawn zones: what they do, the boxes do too.
for (const button of document.querySelectorAll("[data-step]")) {
  const field = button.parentElement.querySelector("input");
  button.hidden = false;
  button.addEventListener("click", () => {
    const now = Number.parseInt(field.value, 10) || 0;
    field.value = String(Math.max(0, now + Number(button.dataset.step)));
    field.dispatchEvent(new Event("input", { bubbles: true }));
  });
}

for (const heads of document.querySelectorAll("[data-zones]")) {
  const boxOf = (zone) =>
    document.querySelector(`input[name="${heads.dataset.zones}"][value="${zone}"]`);
  const paint = () => {
    for (const drawn of heads.querySelectorAll("[data-zone]")) {
      drawn.classList.toggle("sel", boxOf(drawn.dataset.zone).checked);
    }
  };
  heads.addEventListener("click", (event) => {
    const drawn = event.target.closest("[data-zone]");
    if (drawn) boxOf(drawn.dataset.zone).click();
  });
  document.addEventListener("change", paint);
  document.addEventListener("draft:back", paint);
  paint();
}
