// An order as one list: steps that have a place first, each with buttons to move it; then those
// that have none yet. The lists of the plain form hold the answer.
for (const box of document.querySelectorAll("[data-order]")) {
  const selects = [...box.querySelectorAll("select")];
  const options = [...selects[0].options].filter((option) => option.value);
  const list = document.createElement("ol");
  list.className = "order";
  const rows = new Map(options.map((option) => [option.value, row(option)]));
  list.append(...rows.values());
  box.querySelector(".places").before(list);
  box.querySelector(".places").hidden = true;

  function button(deed, words, label) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "press";
    made.dataset.deed = deed;
    made.textContent = words;
    made.setAttribute("aria-label", `${words}: ${label}`);
    return made;
  }

  function row(option) {
    const label = option.textContent;
    const made = document.createElement("li");
    made.dataset.key = option.value;
    const number = document.createElement("span");
    number.className = "order-no";
    const words = document.createElement("span");
    words.textContent = label;
    const acts = document.createElement("span");
    acts.className = "order-acts";
    for (const deed of ["next", "up", "down", "out"]) {
      acts.append(button(deed, box.dataset[deed], label));
    }
    made.append(number, words, acts);
    return made;
  }

  const placed = () => selects.map((select) => select.value).filter(Boolean);

  function draw() {
    const keys = placed();
    const rest = [...rows.keys()].filter((key) => !keys.includes(key));
    for (const key of [...keys, ...rest]) {
      const place = keys.indexOf(key);
      const item = rows.get(key);
      item.classList.toggle("open", place < 0);
      item.querySelector(".order-no").textContent = place < 0 ? "" : String(place + 1);
      for (const one of item.querySelectorAll("button")) {
        one.hidden = (one.dataset.deed === "next") !== place < 0;
        // Not disabled: the button that was pressed keeps the keyboard's place.
        const stops = { up: place === 0, down: place === keys.length - 1 }[one.dataset.deed];
        one.setAttribute("aria-disabled", String(Boolean(stops)));
      }
      list.append(item);
    }
  }

  function write(keys) {
    selects.forEach((select, place) => {
      select.value = keys[place] ?? "";
    });
    draw();
    selects[0].dispatchEvent(new Event("change", { bubbles: true }));
  }

  const deeds = {
    next: (keys, key) => [...keys, key],
    out: (keys, key) => keys.filter((other) => other !== key),
    up: (keys, key) => moved(keys, key, -1),
    down: (keys, key) => moved(keys, key, 1),
  };

  function moved(keys, key, by) {
    const place = keys.indexOf(key);
    const to = place + by;
    if (to < 0 || to >= keys.length) return keys;
    const changed = keys.filter((other) => other !== key);
    changed.splice(to, 0, key);
    return changed;
  }

  list.addEventListener("click", (event) => {
    const pressed = event.target.closest("button");
    if (!pressed) return;
    const item = pressed.closest("li");
    write(deeds[pressed.dataset.deed](placed(), item.dataset.key));
    const again = { next: "up", out: "next" }[pressed.dataset.deed] ?? pressed.dataset.deed;
    item.querySelector(`[data-deed=${again}]`).focus();
  });
  box.closest("[data-line]").addEventListener("line:filled", draw);
  draw();
}
