// What is in hand on the scoring page: zone, criterion, view, and the mark (academy/assessment/
// in_hand.py). It stands in the address, so that a reload shows the same, and in #hand.
export const find = (selector, within = document) => within.querySelector(selector);
export const every = (selector, within = document) => [...within.querySelectorAll(selector)];

export const hand = () => new URLSearchParams(find("#hand")?.value ?? location.search);

// What was taken in hand here, which an answer that comes late does not know of.
const mine = {};

// An empty value takes the name out.
export function keepHand(change) {
  Object.assign(mine, change);
  const now = hand();
  for (const [name, value] of Object.entries(change)) {
    if (value) now.set(name, value);
    else now.delete(name);
  }
  const field = find("#hand");
  if (field) field.value = String(now);
  history.replaceState(history.state, "", `?${now}`);
}

export const keepMyHand = () => keepHand(mine);
