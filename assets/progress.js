/* progress: says that numbers are being reckoned when it takes longer than half a second, and lets one take the change back.
 *
 *   words(first)     -> what is said; first: nothing was answered yet
 *   start(element, {waiting() -> number of changes on their way})   element holds [data-words], [data-seconds] and a button that undoes; it follows <html data-busy>
 */
const PATIENCE_MS = 500;
const TICK_MS = 500;

export const words = (first) =>
  first ? "Reckoning the light of the room" : "These numbers are older than the drawing: reckoning the new ones";

export function start(element, { waiting }) {
  const doc = document;
  const page = doc.documentElement;
  const button = element.querySelector("button");
  let began = null;
  let clock = null;
  let first = true;

  function tick() {
    const gone = performance.now() - began;
    if (element.hidden) element.querySelector("[data-words]").textContent = words(first);
    element.hidden = false;
    // Only what the plan already holds can be taken back: a change still on its way is not yet in its history.
    const undo = /** @type {HTMLButtonElement | null} */ (doc.querySelector('.lm-top [data-act="undo"]'));
    button.hidden = first || !undo || undo.disabled || waiting() > 0;
    element.querySelector("[data-seconds]").textContent = gone < 1500 ? "" : ` ${Math.round(gone / 1000)} s`;
    clock = setTimeout(tick, TICK_MS);
  }

  function follow() {
    const busy = page.dataset.busy === "yes";
    if (busy && clock === null) {
      began = performance.now();
      clock = setTimeout(tick, PATIENCE_MS);
    }
    if (!busy && page.dataset.busy) {
      clearTimeout(clock);
      clock = null;
      first = false;
      element.hidden = true;
    }
  }

  new MutationObserver(follow).observe(page, { attributes: true, attributeFilter: ["data-busy"] });
  follow();
}
