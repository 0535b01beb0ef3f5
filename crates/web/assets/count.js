// Counts a wait down where its end is written. Without this module the end stands there in ship's time.

const SECOND_MS = 1000;

/** What is left, in words. */
export function left(ms) {
  const seconds = Math.ceil(ms / SECOND_MS);
  if (seconds <= 0) return ", it is over";
  const minutes = Math.floor(seconds / 60);
  const hours = Math.floor(minutes / 60);
  if (hours > 0) return `, ${hours} h ${minutes % 60} min left`;
  return `, ${minutes} min ${String(seconds % 60).padStart(2, "0")} s left`;
}

for (const place of document.querySelectorAll("[data-until]")) {
  const until = Date.parse(place.dataset.until);
  // The tablet's clock may be off: counted is from what the page itself says.
  if (Number.isNaN(until)) continue;
  const from = Date.parse(place.dataset.from ?? "");
  const off = Number.isNaN(from) ? 0 : Date.now() - from;
  const show = () => {
    const ms = until - (Date.now() - off);
    place.textContent = left(ms);
    if (ms > 0) setTimeout(show, SECOND_MS);
  };
  show();
}
