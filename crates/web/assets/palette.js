// Day, night or auto without a reload, and the print button. Without this module the form reloads.

const root = document.documentElement;

document.addEventListener("submit", (event) => {
  const pressed = event.submitter;
  if (pressed?.name !== "palette") return;
  event.preventDefault();
  root.dataset.palette = pressed.value;
  for (const button of event.target.querySelectorAll("button[name=palette]")) {
    if (button === pressed) button.setAttribute("aria-pressed", "true");
    else button.removeAttribute("aria-pressed");
  }
  // The page is already redrawn; if the link is lost only the next page forgets the choice.
  const body = new URLSearchParams(new FormData(event.target, pressed));
  fetch(event.target.action, { method: "POST", body, redirect: "manual" }).catch(() => {});
});

for (const button of document.querySelectorAll("[data-print]")) {
  button.hidden = false;
  button.addEventListener("click", () => window.print());
}

// A folded part is part of the page: it is opened for the printer and folded again after.
let opened = [];
addEventListener("beforeprint", () => {
  opened = [...document.querySelectorAll("details:not([open])")];
  for (const part of opened) part.open = true;
});
addEventListener("afterprint", () => {
  for (const part of opened) part.open = false;
});
