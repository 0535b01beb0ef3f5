// Expected values, strips and words appear while readings are typed; offers and reasons are taken in place.
// Without this module the "Check" button does the same with the whole page.

const WAIT_MS = 450; // after the last keystroke
const CHECK = "/readings/check";

const form = () => document.querySelector('form[action="/readings"]');
const lineOf = (page, name) => page.getElementById(name)?.closest(".field");

let timer = 0;
let newest = 0;

/** Asks how the form stands now; `pressed` is the button of an offer or a reason. */
async function ask(pressed) {
  clearTimeout(timer);
  const sent = form();
  if (!sent) return;
  const mine = (newest += 1);
  const body = new URLSearchParams(new FormData(sent, pressed));
  body.delete("_once"); // nothing is written: a check is no sending
  try {
    const answer = await fetch(CHECK, { method: "POST", body, headers: { accept: "text/html" } });
    if (!answer.ok || mine !== newest) return;
    put(new DOMParser().parseFromString(await answer.text(), "text/html"), pressed);
  } catch {
    // The link is lost: what was typed stands, and is kept; it is checked when it is sent.
  }
}

/** Replaces a part only where it changed and nobody is in it. */
function swap(old, fresh) {
  if (!old || !fresh || old.outerHTML === fresh.outerHTML) return;
  if (old.contains(document.activeElement) && document.activeElement !== document.body) return;
  old.replaceWith(document.adoptNode(fresh));
}

function put(page, pressed) {
  if (pressed) pressed.blur();
  for (const fresh of page.querySelectorAll(".field")) {
    const box = fresh.querySelector(".box [id]");
    const old = box && lineOf(document, box.id);
    if (!old) continue;
    old.className = fresh.className;
    const typed = document.getElementById(box.id);
    typed.toggleAttribute("aria-invalid", false);
    if (box.hasAttribute("aria-invalid")) typed.setAttribute("aria-invalid", "true");
    if (pressed && typed.value !== box.value) set(typed, box, old, fresh);
    for (const part of [".was", ".strip", ".word"]) swap(old.querySelector(part), fresh.querySelector(part));
  }
  // The live region itself stays, so that its new words are read out.
  const [old, fresh] = [document, page].map((p) => p.querySelector("#answer .says [role=status]"));
  if (old && fresh && old.innerHTML !== fresh.innerHTML) old.replaceChildren(...document.adoptNode(fresh).childNodes);
  const [thens, now] = [document, page].map((p) => [...p.querySelectorAll("#answer .then")]);
  const says = document.querySelector("#answer .says");
  for (const then of thens) then.remove();
  says?.after(...now.map((then) => document.adoptNode(then)));
  const sign = page.getElementById("sign");
  if (sign) document.getElementById("sign").textContent = sign.textContent;
  if (pressed) document.getElementById(pressed.value.split(":")[1])?.focus();
}

/** Takes over a figure that an offer put there, with its unit, and lets it be kept. */
function set(typed, box, old, fresh) {
  typed.value = box.value;
  const [unit, chosen] = [old, fresh].map((line) => line.querySelector("select.unit"));
  if (unit && chosen) unit.value = chosen.value;
  typed.dispatchEvent(new Event("input", { bubbles: true }));
}

const soon = (event) => {
  if (!event.target.name || event.target.form !== form()) return;
  clearTimeout(timer);
  timer = setTimeout(ask, WAIT_MS);
};
document.addEventListener("input", soon);
document.addEventListener("change", soon);

// Return goes on to the next box, as down a column of a paper log; after the last one to the button that signs.
document.addEventListener("keydown", (event) => {
  const box = event.target;
  if (event.key !== "Enter" || event.isComposing || box.form !== form() || !box.matches(".box input")) return;
  event.preventDefault();
  const boxes = [...box.form.querySelectorAll(".box input, .box select.words")].filter((one) => one.checkVisibility());
  const next = boxes[boxes.indexOf(box) + 1] ?? document.getElementById("sign");
  next.focus();
  next.select?.();
});

// Before the module that sends forms: everything but signing is answered in place.
document.addEventListener("submit", (event) => {
  const pressed = event.submitter;
  if (event.target !== form() || pressed?.name !== "do" || pressed.value === "sign") return;
  event.preventDefault();
  ask(pressed.value === "check" ? undefined : pressed);
}, true);

// A draft may have been brought back before this module was there.
if ([...(form()?.elements ?? [])].some((field) => field.matches(".box input") && field.value !== field.defaultValue)) ask();
