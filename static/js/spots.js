// Places on the head: a tap puts the chosen point there, buttons and arrow keys move it. The head
// is computed here too, so that every view that sees a point shows it without asking the site.
import { WAYS, axesOf, dot, headOf, paperOf, pointed } from "./head_geometry.js";

const STEP_MM = 2;
const FINE_MM = 1; // with Shift, as on the scoring page

function viewOf(svg) {
  return { svg, name: svg.dataset.view, ...axesOf(svg.dataset.axes) };
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
      const [u, v] = paperOf(at, view);
      mark.setAttribute("transform", `translate(${u.toFixed(1)} ${(-v).toFixed(1)})`);
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
    const [u, v] = paperOf(at, view).map((n, axis) => n + way[axis] * mm);
    if (head.under(view, u, v)) type(line, view, u, v);
  }

  pad.addEventListener("click", (event) => {
    const svg = event.target.closest("svg[data-view]");
    const line = chosen();
    if (!svg || !line) return;
    const view = views.find((one) => one.svg === svg);
    const [u, v] = pointed(svg, event);
    if (head.under(view, u, v)) type(line, view, u, v);
  });

  for (const line of lines) {
    buttonOf(line).addEventListener("click", () => choose(line));
    line.addEventListener("line:filled", () => draw(line));
    line.addEventListener("line:pressed", ({ detail: { name, value } }) => {
      if (name === "nudge") nudge(line, WAYS[value.split(" ")[1]], STEP_MM);
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
      nudge(line, way, event.shiftKey ? FINE_MM : STEP_MM);
    });
    line.addEventListener("input", () => draw(line));
  }
  pad.querySelector(".points").hidden = false;
  choose(lines.find((line) => !textOf(line).trim()) ?? lines[0]);
}
