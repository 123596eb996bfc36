/* lumen.progress: says that numbers are being reckoned when it takes longer than half a second, and lets one take the change back.
 *
 *   lumen.progress.words(first)     -> what is said; first: nothing was answered yet
 *   lumen.progress.start(element)   element holds [data-words], [data-seconds] and a button that undoes; it follows <html data-busy>
 */
(function (root) {
  "use strict";
  const lumen = (root.lumen = root.lumen || {});
  const PATIENCE_MS = 500;
  const TICK_MS = 500;

  const words = (first) =>
    first ? "Reckoning the light of the room" : "These numbers are older than the drawing: reckoning the new ones";

  function start(element) {
    const doc = root.document;
    const page = doc.documentElement;
    const button = element.querySelector("button");
    let began = null;
    let clock = null;
    let first = true;

    function tick() {
      const gone = root.performance.now() - began;
      if (element.hidden) element.querySelector("[data-words]").textContent = words(first);
      element.hidden = false;
      // Only what the plan already holds can be taken back: a change still on its way is not yet in its history.
      const undo = doc.querySelector('.lm-top [data-act="undo"]');
      button.hidden = first || !undo || undo.disabled || lumen.bridge.waiting() > 0;
      element.querySelector("[data-seconds]").textContent = gone < 1500 ? "" : ` ${Math.round(gone / 1000)} s`;
      clock = root.setTimeout(tick, TICK_MS);
    }

    function follow() {
      const busy = page.dataset.busy === "yes";
      if (busy && clock === null) {
        began = root.performance.now();
        clock = root.setTimeout(tick, PATIENCE_MS);
      }
      if (!busy && page.dataset.busy) {
        root.clearTimeout(clock);
        clock = null;
        first = false;
        element.hidden = true;
      }
    }

    new root.MutationObserver(follow).observe(page, { attributes: true, attributeFilter: ["data-busy"] });
    follow();
  }

  lumen.progress = { words, start };
})(typeof window === "undefined" ? globalThis : window);
