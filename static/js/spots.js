// Places on the head: a tap puts the chosen point there, buttons and arrow keys move it. The head
// is the one of academy/craft/head/shape.py, computed here too, so that every view that sees a
// point shows it without asking the site.
const BUTTON_MM = 2;
const KEY_MM = 1;
const WAYS = { up: [0, 1], down: [0, -1], left: [-1, 0], right: [1, 0] };
const SQUARELY = 0.001;

const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const along = (from, by, way) => from.map((n, axis) => n + by * way[axis]);

// Below 1 inside the head, 1 on its surface.
function headOf(figures) {
  const [side, half, top, lower, egg, n, m] = figures.split(" ").map(Number);
  const level = ([x, y, z]) => {
    const wide = side * (1 - (egg * y) / half);
    const flat = Math.abs(x / wide) ** n + Math.abs(y / half) ** n;
    return flat ** (m / n) + Math.abs(z / (z >= 0 ? top : lower)) ** m;
  };
  // Half of the gap each time, between a point outside and the middle of the head.
  const between = (outside, inside) => {
    let [out, into] = [outside, inside];
    for (let step = 0; step < 40; step++) {
      const middle = along(out, 0.5, along(into, -1, out));
      if (level(middle) > 1) out = middle;
      else into = middle;
    }
    return into;
  };
  const normal = (at) =>
    [0, 1, 2].map((axis) => {
      const step = [0, 0, 0];
      step[axis] = 0.01;
      return level(along(at, 1, step)) - level(along(at, -1, step));
    });
  return {
    seen: (at, view) => dot(normal(at), view.toward) / Math.hypot(...normal(at)) > SQUARELY,
    // The point of a view at u, v; null beside the head.
    under(view, u, v) {
      const base = view.right.map((n, axis) => n * u + view.up[axis] * v);
      let inside = null;
      for (let deep = -120; deep <= 120 && !inside; deep += 2) {
        const at = along(base, deep, view.toward);
        if (level(at) < 1) inside = at;
      }
      return inside && between(along(base, 200, view.toward), inside);
    },
    at(azimuth, elevation) {
      const [round, up] = [azimuth, elevation].map((degrees) => (degrees * Math.PI) / 180);
      const toward = [Math.cos(up) * Math.sin(round), Math.cos(up) * Math.cos(round), Math.sin(up)];
      return between(along([0, 0, 0], 200, toward), [0, 0, 0]);
    },
  };
}

function viewOf(svg) {
  const axes = svg.dataset.axes.split(" ").map(Number);
  const [right, up, toward] = [axes.slice(0, 3), axes.slice(3, 6), axes.slice(6, 9)];
  return { svg, name: svg.dataset.view, right, up, toward };
}

for (const pad of document.querySelectorAll(".pad[data-head]")) {
  const form = pad.closest("form");
  const head = headOf(pad.dataset.head);
  const views = [...pad.querySelectorAll("svg[data-view]")].map(viewOf);
  const lines = [...form.querySelectorAll("[data-spot]")];
  const buttonOf = (line) => pad.querySelector(`[data-place="${line.dataset.spot}"]`);
  const textOf = (line) => form.elements[line.dataset.spot].value;

  // Where a text lies on the head, as spots.py reads it; null where it is no place.
  function placeOf(text) {
    const parts = text.trim().replace("\u2212", "-").toLowerCase().split(/[;\s]+/);
    const view = views.find((one) => one.name === parts[0]);
    const [a, b] = parts.slice(view ? 1 : 0).map((part) => Number(part.replace(",", ".")));
    if (!Number.isFinite(a) || !Number.isFinite(b)) return null;
    return view ? head.under(view, a, b) : head.at(a, b);
  }

  function draw(line) {
    const at = placeOf(textOf(line));
    for (const view of views) {
      const mark = view.svg.querySelector(`[data-dot="${line.dataset.spot}"]`);
      const seen = at && head.seen(at, view);
      mark.setAttribute("visibility", seen ? "visible" : "hidden");
      if (!seen) continue;
      const [x, y] = [dot(at, view.right), -dot(at, view.up)];
      mark.setAttribute("transform", `translate(${x.toFixed(1)} ${y.toFixed(1)})`);
    }
  }

  function choose(line) {
    for (const one of lines) {
      buttonOf(one).setAttribute("aria-pressed", String(one === line));
    }
  }

  const chosen = () => lines.find((line) => buttonOf(line).getAttribute("aria-pressed") === "true");

  function type(line, view, u, v) {
    const detail = { name: line.dataset.spot, text: `${view.name} ${u.toFixed(1)} ${v.toFixed(1)}` };
    line.dispatchEvent(new CustomEvent("line:typed", { bubbles: true, detail }));
    draw(line);
  }

  // In the view it was put on, else in the one that sees it most squarely.
  function nudge(line, way, mm) {
    const text = textOf(line);
    const at = placeOf(text);
    if (!at) return;
    const squarely = [...views].sort((a, b) => dot(at, b.toward) - dot(at, a.toward))[0];
    const view = views.find((one) => text.startsWith(`${one.name} `)) ?? squarely;
    const [u, v] = [dot(at, view.right) + way[0] * mm, dot(at, view.up) + way[1] * mm];
    if (head.under(view, u, v)) type(line, view, u, v);
  }

  pad.addEventListener("click", (event) => {
    const svg = event.target.closest("svg[data-view]");
    const line = chosen();
    if (!svg || !line) return;
    const view = views.find((one) => one.svg === svg);
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(
      svg.getScreenCTM().inverse(),
    );
    // Paper runs upwards, the drawing downwards.
    if (head.under(view, at.x, -at.y)) type(line, view, at.x, -at.y);
  });

  for (const line of lines) {
    buttonOf(line).addEventListener("click", () => choose(line));
    line.addEventListener("line:filled", () => draw(line));
    line.addEventListener("line:pressed", ({ detail: { name, value } }) => {
      if (name === "nudge") nudge(line, WAYS[value.split(" ")[1]], BUTTON_MM);
      if (name !== "middle") return;
      const text = form.elements[`zone-${line.dataset.spot}`].value;
      const detail = { name: line.dataset.spot, text };
      line.dispatchEvent(new CustomEvent("line:typed", { bubbles: true, detail }));
      draw(line);
    });
    line.addEventListener("keydown", (event) => {
      const way = WAYS[event.key.replace("Arrow", "").toLowerCase()];
      if (!way || event.target.matches("input, select")) return;
      event.preventDefault();
      nudge(line, way, KEY_MM);
    });
    line.addEventListener("input", () => draw(line));
  }
  pad.querySelector(".points").hidden = false;
  choose(lines.find((line) => !textOf(line).trim()) ?? lines[0]);
}
