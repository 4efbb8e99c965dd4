// Says so when an answer could not be kept. It stays in its field, and goes up with the next one.
for (const trouble of ["htmx:sendError", "htmx:timeout", "htmx:responseError"]) {
  document.addEventListener(trouble, () => {
    const line = document.getElementById("kept");
    if (line) line.textContent = line.dataset.lost;
  });
}
