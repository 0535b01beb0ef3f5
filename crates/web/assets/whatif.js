// Sliders of the what-if: while one moves, the answer, the map and the balance are fetched anew. Without this module the form
// reloads the page instead.

const form = document.getElementById("whatif");
const ENOUGH_MS = 40; // between two requests while a slider moves
let timer = 0;
let asked = null;

/** The slider of a number field, and back. */
const sliderOf = (name) => form.querySelector(`input[type=range][data-of="${CSS.escape(name)}"]`);
const plain = (text) => text.trim().replace("\u2212", "-").replace(",", ".");

/** Address of the form as it stands. */
const query = () => new URLSearchParams(new FormData(form)).toString();

/** Puts the fetched parts in place of those with the same id; the answer is read out, the rest is not. */
function place(html) {
  const fresh = new DOMParser().parseFromString(html, "text/html");
  for (const part of fresh.querySelectorAll("[data-live]")) {
    const old = document.getElementById(part.id);
    if (!old) continue;
    const open = old.querySelector("details")?.open ?? false;
    old.replaceChildren(...part.childNodes);
    const fold = old.querySelector("details");
    if (fold) fold.open = open;
  }
  const answer = document.getElementById("answer");
  const next = fresh.getElementById("answer");
  if (!answer || !next) return;
  const says = answer.querySelector(".says");
  const nextSays = next.querySelector(".says");
  says.replaceChildren(...nextSays.childNodes);
  for (const then of answer.querySelectorAll(".then")) then.remove();
  says.after(...next.querySelectorAll(".then"));
}

async function refresh() {
  timer = 0;
  asked?.abort();
  asked = new AbortController();
  const address = query();
  try {
    const answer = await fetch(`${form.dataset.figures}?${address}`, { signal: asked.signal });
    if (!answer.ok) return;
    place(await answer.text());
    history.replaceState(null, "", `${location.pathname}?${address}`);
  } catch (error) {
    // A newer request took this one's place, or the link is lost: the button still reloads the page.
    if (error.name !== "AbortError") console.warn(error);
  }
}

function soon() {
  if (!timer) timer = setTimeout(refresh, ENOUGH_MS);
}

if (form) {
  document.querySelector("#answer .says")?.setAttribute("aria-live", "polite");
  for (const slider of form.querySelectorAll("input[type=range]")) slider.hidden = false;
  form.addEventListener("input", (event) => {
    const field = event.target;
    if (field.type === "range") {
      const number = document.getElementById(field.dataset.of);
      if (number) number.value = field.value;
    } else {
      const slider = sliderOf(field.name);
      if (slider && plain(field.value) !== "") slider.value = plain(field.value);
    }
    soon();
  });
  form.addEventListener("change", soon);
}
