// ± keys, arrow keys, long press and “=” on number fields. Without this module the keys are not shown.

const FIRST_MS = 450; // a press held this long repeats
const NEXT_MS = 110;

for (const key of document.querySelectorAll("button[data-step]")) key.hidden = false;
new MutationObserver((changes) => {
  for (const { addedNodes } of changes) {
    for (const node of addedNodes) {
      for (const key of node.querySelectorAll?.("button[data-step]") ?? []) key.hidden = false;
    }
  }
}).observe(document.body, { childList: true, subtree: true });

/** Digits after the mark in a number as written. */
export const decimals = (text) => (/[.,](\d+)/.exec(text)?.[1] ?? "").length;

/** The text of a field after one step of `by`, with the reader's own decimal mark and digits. */
export function stepped(text, by, from) {
  const shown = text.trim();
  const base = shown === "" ? from.trim() : shown;
  const plain = base.replace(/[\s\u00a0\u2009\u202f]/g, "").replace("\u2212", "-").replace(",", ".");
  if (!/^-?(\d+\.?\d*|\.\d+)$/.test(plain)) return base === "" ? by.replace(/^[+-]/, "") : text;
  const digits = Math.max(decimals(plain), decimals(by));
  // Where nothing was typed the first press puts down what was there before, to step from.
  const value = shown === "" ? Number(plain) : Number(plain) + Number(by);
  const written = (Object.is(value, -0) ? 0 : value).toFixed(digits);
  return base.includes(",") ? written.replace(".", ",") : written;
}

function step(field, by) {
  const next = stepped(field.value, by, field.dataset.from ?? "");
  if (next === field.value) return;
  field.value = next;
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

// A figure with its unit behind it is written smaller, so that it is seen whole.
document.addEventListener("input", ({ target }) => {
  if (target.matches?.(".field .box input:not(.words)")) target.classList.toggle("long", target.value.length > 6);
});

const fieldOf = (key) => document.getElementById(key.dataset.for);

let timer = 0;
let repeated = false;
const release = () => {
  clearTimeout(timer);
  timer = 0;
};

document.addEventListener("pointerdown", (event) => {
  const key = event.target.closest?.("button[data-step]");
  if (!key || event.button !== 0) return;
  release();
  repeated = false;
  const again = () => {
    repeated = true;
    const field = fieldOf(key);
    if (field) step(field, key.dataset.step);
    timer = setTimeout(again, NEXT_MS);
  };
  timer = setTimeout(again, FIRST_MS);
});
for (const end of ["pointerup", "pointercancel", "blur"]) addEventListener(end, release);
document.addEventListener("pointerout", (event) => {
  if (event.target.closest?.("button[data-step]")) release();
});
document.addEventListener("contextmenu", (event) => {
  if (timer && event.target.closest?.("button[data-step]")) event.preventDefault();
});

document.addEventListener("click", (event) => {
  const key = event.target.closest?.("button[data-step]");
  if (!key) return;
  const field = fieldOf(key);
  if (field && !repeated) step(field, key.dataset.step);
  repeated = false;
  field?.dispatchEvent(new Event("change", { bubbles: true }));
});

document.addEventListener("keydown", (event) => {
  const field = event.target;
  const by = field.dataset?.by;
  if (!by || event.altKey || event.ctrlKey || event.metaKey) return;
  // “=” repeats the last reading.
  if (event.key === "=" && field.value === "" && field.dataset.from) {
    event.preventDefault();
    step(field, by);
    return;
  }
  const times = { ArrowUp: 1, ArrowDown: -1, PageUp: 10, PageDown: -10 }[event.key];
  if (!times) return;
  event.preventDefault();
  step(field, (Number(by) * times).toFixed(decimals(by)));
  field.dispatchEvent(new Event("change", { bubbles: true }));
});
