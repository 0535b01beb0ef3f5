// What was typed survives a lost link: drafts on this device, and sending again until it is answered.
// Without this module a form is sent the browser's own way.
//
// A form with data-keep="NAME" is kept under that name. The server answers a form it has taken with a
// redirect, one it refuses with the form again; the hidden mark `_once` lets it take a repeat once.

const PREFIX = "stillwatch.keep.";
const WAIT_MS = 15_000; // no answer within this counts as a lost link
const AGAIN_S = [3, 5, 10, 20, 30]; // pauses between tries; the last repeats
const KEPT_DAYS = 14; // older drafts are swept out

const forms = () => document.querySelectorAll("form[data-keep]");
const slot = (form) => PREFIX + form.dataset.keep;
const clock = (ms) => new Date(ms).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
const pause = (s) => new Promise((done) => {
  const stop = () => { removeEventListener("online", stop); clearTimeout(timer); done(); };
  const timer = setTimeout(stop, s * 1000);
  addEventListener("online", stop);
});

/** Fields worth keeping: not the guards' own, no secrets, no files. */
const kept = (form) => [...form.elements].filter((field) =>
  field.name && !field.name.startsWith("_") && !["password", "file", "submit", "button", "hidden"].includes(field.type));

/** Storage may be full or forbidden: then the form simply is not kept. */
const store = {
  read(key) { try { return JSON.parse(localStorage.getItem(key)); } catch { return null; } },
  write(key, draft) { try { localStorage.setItem(key, JSON.stringify(draft)); return true; } catch { return false; } },
  drop(key) { try { localStorage.removeItem(key); } catch { /* nothing was kept */ } },
};

function say(form, words, buttons = []) {
  const line = form.querySelector(":scope > .kept");
  if (!line) return;
  line.hidden = words === "";
  line.replaceChildren(words);
  for (const [label, act] of buttons) {
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: label });
    button.addEventListener("click", act);
    line.append(" ", button);
  }
}

const values = (form) => kept(form).map((field) =>
  [field.name, field.type === "checkbox" || field.type === "radio" ? [field.value, field.checked] : field.value]);

function save(form) {
  const draft = { at: Date.now(), values: values(form) };
  if (!store.write(slot(form), draft)) say(form, "This device keeps no drafts: what you type is lost if the page closes.");
}

function put(form, draft) {
  const fields = kept(form);
  for (const [name, value] of draft.values) {
    const boxed = Array.isArray(value);
    const field = fields.find((f) => f.name === name && (!boxed || f.value === value[0]));
    if (!field) continue;
    if (boxed) field.checked = value[1];
    else field.value = value;
  }
  form.dispatchEvent(new Event("input", { bubbles: true }));
}

const same = (form, draft) => JSON.stringify(values(form)) === JSON.stringify(draft.values);

/** Brings back a draft. A form the server refused already shows what was typed, and is left alone. */
function restore(form) {
  const draft = store.read(slot(form));
  if (!Array.isArray(draft?.values) || form.querySelector("[aria-invalid=true]") || same(form, draft)) return;
  put(form, draft);
  say(form, `Brought back what was typed at ${clock(draft.at)} by this device’s clock; it is not in the log yet.`, [
    ["Clear it", () => {
      waiting = null;
      store.drop(slot(form));
      form.reset();
      say(form, "");
    }],
  ]);
}

async function post(form, body) {
  const given = AbortSignal.timeout(WAIT_MS);
  const headers = { accept: "text/html" };
  const answer = await fetch(form.action, { method: "POST", body, headers, signal: given });
  return { answer, page: answer.redirected ? "" : await answer.text() };
}

/** A fresh token, after the program was started anew; nothing when the page cannot be had. */
async function freshToken() {
  const answer = await fetch(location.href, { signal: AbortSignal.timeout(WAIT_MS) });
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  return page.querySelector("input[name=_token]")?.value;
}

function show(form, page) {
  const next = new DOMParser().parseFromString(page, "text/html").querySelector("main");
  if (!next) return say(form, "The answer could not be read. What you typed is kept; load the page again.");
  document.querySelector("main").replaceWith(document.adoptNode(next));
  const wrong = document.querySelector("main [aria-invalid=true]");
  wrong?.focus();
  if (!wrong) scrollTo(0, 0);
}

const sending = new Set();

async function send(form, pressed) {
  const name = form.dataset.keep;
  if (sending.has(name)) return say(form, "Being sent already; one moment.");
  sending.add(name);
  save(form);
  const body = new URLSearchParams(new FormData(form, pressed));
  let renewed = false;
  try {
    for (let tries = 0; ; tries += 1) {
      let got;
      try {
        say(form, tries ? `Trying again (${tries + 1}).` : "");
        got = await post(form, body);
      } catch {
        const wait = AGAIN_S[Math.min(tries, AGAIN_S.length - 1)];
        say(form, `No answer from the ship’s computer. What you typed is kept on this device; next try in ${wait} s. Leave this page open.`);
        await pause(wait);
        continue;
      }
      const { answer, page } = got;
      if (answer.redirected && new URL(answer.url).pathname !== "/sign-in") {
        store.drop(slot(form));
        return location.assign(answer.url);
      }
      if (answer.status === 403 && !renewed) {
        renewed = true;
        const token = await freshToken().catch(() => null);
        if (token) { body.set("_token", token); continue; }
      }
      if (answer.status === 401) return say(form, "Nobody is signed in on this device. What you typed is kept: sign in on another tab, then send it again.");
      if (answer.status >= 500 || answer.status === 408) return say(form, `The ship’s computer could not take it (${answer.status}). What you typed is kept; send it again in a moment.`);
      return show(form, page);
    }
  } finally {
    sending.delete(name);
  }
}

let timer = 0;
let waiting = null; // the form whose last keystrokes are not saved yet

function settle() {
  clearTimeout(timer);
  if (waiting) save(waiting);
  waiting = null;
}

document.addEventListener("input", (event) => {
  const form = event.target.form;
  if (!form?.dataset.keep || !event.target.name) return;
  clearTimeout(timer);
  waiting = form;
  timer = setTimeout(settle, 250);
});
addEventListener("pagehide", settle);

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.dataset.keep || event.defaultPrevented) return;
  event.preventDefault();
  settle();
  send(form, event.submitter);
});

function sweep() {
  const oldest = Date.now() - KEPT_DAYS * 86_400_000;
  for (const key of Object.keys(localStorage)) {
    if (key.startsWith(PREFIX) && !(store.read(key)?.at > oldest)) store.drop(key);
  }
}

try { sweep(); } catch { /* storage is forbidden: nothing to sweep */ }
for (const form of forms()) restore(form);
