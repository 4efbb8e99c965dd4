// The head of academy/craft/head/shape.py, computed here too: what lies under a point of a view,
// and where a place is seen, without asking the site. Millimetres; x to the wearer's left,
// y forward, z up.
const SQUARELY = 0.001;

export const WAYS = { up: [0, 1], down: [0, -1], left: [-1, 0], right: [1, 0] };

export const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const along = (from, by, way) => from.map((n, axis) => n + by * way[axis]);
const numbers = (text) => text.split(" ").map(Number);

// Right, up and toward of a view, from its nine numbers.
export function axesOf(text) {
  const axes = numbers(text);
  return { right: axes.slice(0, 3), up: axes.slice(3, 6), toward: axes.slice(6, 9) };
}

// Where a place lies on the paper of a view; paper runs upwards.
export const paperOf = (at, view) => [dot(at, view.right), dot(at, view.up)];

// The point of a drawing under a pointer, on paper.
export function pointed(svg, event) {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(
    svg.getScreenCTM().inverse(),
  );
  // Paper runs upwards, the drawing downwards.
  return [at.x, -at.y];
}

export function headOf(figures) {
  const [side, half, top, lower, egg, n, m] = numbers(figures);
  // Below 1 inside the head, 1 on its surface.
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
    // Whether a view sees a place at least so squarely: 1 from straight on, 0 at the outline.
    seen: (at, view, squarely = SQUARELY) =>
      dot(normal(at), view.toward) / Math.hypot(...normal(at)) > squarely,
    // The place of a view at u, v; null beside the head.
    under(view, u, v) {
      const base = view.right.map((axis, i) => axis * u + view.up[i] * v);
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
