/* lumen.queue: commands go to the server one at a time, in order, and none is lost while the server is away. Pure of the page.
 *
 *   lumen.queue({deliver(command), isAlive() -> Promise<bool>, onLost(), onBack(), patience_ms, timer})
 *     -> {push(command), answered(stamp), pending() -> [command], drop() , size()}
 *
 * A level or field that is set again while the first setting still waits is sent once, as it last was.
 * Each command waits for the answer to the one before it, since the server makes the new plan from the plan it is sent.
 * When no answer comes in time the server is asked for a sign of life; until it gives one nothing is sent, then the
 * waiting command is delivered again.
 */
(function (root) {
  "use strict";
  const lumen = (root.lumen = root.lumen || {});

  /** Whether a later command makes a waiting one needless: the same level or field set again. */
  function replaces(later, waiting) {
    if (later.name !== waiting.name || later.id !== waiting.id) return false;
    const [a, b] = [later.args || {}, waiting.args || {}];
    if (later.name === "level") return a.setup === b.setup && a.of === b.of;
    return later.name === "set" && a.field === b.field;
  }

  lumen.queue = function queue({ deliver, isAlive, onLost = () => {}, onBack = () => {}, patience_ms = 6000, retry_ms = 2000, timer = root }) {
    const waiting = [];
    let going = null;
    let clock = null;
    let lost = false;
    let stamp = 0;

    function next() {
      if (going || lost || !waiting.length) return;
      going = waiting[0];
      deliver(going);
      clock = timer.setTimeout(doubt, patience_ms);
    }

    function settle() {
      if (clock !== null) timer.clearTimeout(clock);
      clock = null;
      going = null;
    }

    async function doubt() {
      clock = null;
      const alive = await isAlive().catch(() => false);
      if (!going && !lost) return; // it answered meanwhile
      if (alive) {
        if (lost) {
          lost = false;
          onBack();
          going = null;
          next();
        } else {
          clock = timer.setTimeout(doubt, patience_ms); // it is there and thinks: wait on
        }
        return;
      }
      if (!lost) {
        lost = true;
        onLost();
      }
      clock = timer.setTimeout(doubt, retry_ms);
    }

    return {
      push(command) {
        stamp += 1;
        const last = waiting[waiting.length - 1];
        if (last && last !== going && replaces(command, last)) waiting.pop();
        waiting.push({ ...command, stamp });
        next();
        return stamp;
      },
      answered(which) {
        if (!going || (which !== undefined && which !== null && which !== going.stamp)) return;
        waiting.shift();
        settle();
        next();
      },
      noAnswer() {
        // a request failed outright: do not wait for patience to run out
        if (clock !== null) timer.clearTimeout(clock);
        doubt();
      },
      drop() {
        waiting.length = 0;
        settle();
      },
      pending: () => [...waiting],
      size: () => waiting.length,
    };
  };
})(typeof window === "undefined" ? globalThis : window);
