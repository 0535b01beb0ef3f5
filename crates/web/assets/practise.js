// Practice brought up to date while it runs, and worked without loading the page again.
// Without this module every button loads the page, and time is let on by the minute.

const form = document.getElementById("practise");
const said = document.getElementById("said");

function say(words) {
  if (!said) return;
  said.replaceChildren();
  if (!words) return;
  const box = document.createElement("div");
  box.className = "fault";
  box.append(Object.assign(document.createElement("p"), { textContent: words }));
  said.append(box);
}

const all = (name, key) => document.querySelectorAll(`[${name}="${CSS.escape(key)}"]`);

/** Parts that wait until the finger is lifted. */
const waiting = new Map();

/** Puts a part in anew if it has changed: not under a finger, for the press would be lost with its button; the focus stays. */
function put(place, html) {
  waiting.delete(place);
  const fresh = place.cloneNode(false);
  fresh.innerHTML = html;
  if (fresh.isEqualNode(place)) return;
  if (place.matches(":active")) return waiting.set(place, html);
  const inside = place.contains(document.activeElement) ? document.activeElement : null;
  const [name, value] = [inside?.getAttribute("name"), inside?.getAttribute("value")];
  place.replaceChildren(...fresh.childNodes);
  if (inside) [...place.querySelectorAll("button, input")].find((one) => one.name === name && one.value === value)?.focus({ preventScroll: true });
}

// After the click that the lifting makes.
for (const lifted of ["pointerup", "pointercancel", "keyup"]) {
  addEventListener(lifted, () => setTimeout(() => [...waiting].forEach(([place, html]) => put(place, html))));
}

/** Takes up what has changed. */
export function take({ cells = {}, moves = {}, parts = {}, hold = false }) {
  for (const [key, text] of Object.entries(cells)) for (const place of all("data-cell", key)) place.textContent = text;
  for (const [key, [attribute, value]] of Object.entries(moves)) {
    for (const place of all("data-live", key)) {
      if (attribute === "") place.textContent = value;
      else place.setAttribute(attribute, value);
    }
  }
  for (const [key, html] of Object.entries(parts)) for (const place of all("data-part", key)) put(place, html);
  document.querySelector("[data-hold]")?.classList.toggle("held", hold);
}

if (form) {
  let lost = false;
  const link = new EventSource(form.dataset.live);
  link.addEventListener("message", ({ data }) => {
    const news = JSON.parse(data);
    if (news.gone) {
      link.close();
      return say(news.gone);
    }
    if (lost) say("");
    lost = false;
    take(news);
  });
  link.addEventListener("error", () => {
    lost = true;
    say("No link to the ship’s computer. The run waits after twenty seconds; this page tries again by itself.");
  });

  form.addEventListener("submit", async (event) => {
    const pressed = event.submitter;
    event.preventDefault();
    const body = new URLSearchParams(new FormData(form, pressed));
    try {
      const answer = await fetch(form.action, { method: "POST", body, headers: { accept: "text/plain" }, signal: AbortSignal.timeout(15_000) });
      if (answer.status === 204) {
        say("");
        if (pressed?.value === "typed" || pressed == null) for (const box of document.querySelectorAll(`input[form="${form.id}"]:not([type])`)) box.value = "";
        if (pressed?.value === "end") location.assign(form.dataset.end);
        return;
      }
      // A page older than the program's last start has no run any more either.
      say(answer.status === 422 ? await answer.text() : `It was not taken (${answer.status}). Load the page again.`);
    } catch {
      say("No answer from the ship’s computer; nothing may have been done. Look at the handles, then try again.");
    }
  });
}
