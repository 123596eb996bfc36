/* say: words in passing.
 *
 *   say(text, drawer)   in the toast; a press on it opens the drawer
 *   warn(study)         a stop that an edit has raised is said at once, wherever the person looks
 */

const TOAST_MS = 8000;

let toast = null;

/** @param {string} text  @param {string | null} drawer */
export function say(text, drawer = null) {
  const place = document.getElementById("toast");
  if (!place || !text) return;
  place.textContent = text;
  if (drawer) place.dataset.opens = drawer;
  else delete place.dataset.opens;
  place.hidden = false;
  clearTimeout(toast);
  toast = setTimeout(() => (place.hidden = true), TOAST_MS);
}

// A stop that an edit has raised is said at once, wherever the person looks.
let stops = null;
let warned = null;

export function warn(study) {
  if (!study || study === warned) return;
  warned = study;
  const named = new Map();
  for (const each of study.cautions || []) {
    if (each.level === "stop") named.set(`${each.rule} ${(each.objects || []).join()}`, each);
  }
  const fresh = stops ? [...named.keys()].filter((key) => !stops.has(key)) : [];
  if (fresh.length) say(`Stop: ${named.get(fresh[0]).fact}`, "cautions");
  stops = new Set(named.keys());
}
