/* queue: commands go to the server one at a time, in order, and none is lost without a word. Pure of the page.
 *
 *   queue({deliver(command), isAlive() -> Promise<bool>, onLost(), onBack(), onDrop(command), patience_ms, timer})
 *     -> {push(command), answered(stamp), failed(status), noAnswer(), pending() -> [command], drop(), size(), whenEmpty(ms)}
 *
 * A level or field that is set again while the first setting still waits is sent once, as it last was.
 * Each command waits for the answer to the one before it, since the server makes the new plan from the plan it is sent.
 * When no answer comes in time the server is asked for a sign of life; until it gives one nothing is sent, then the
 * waiting command is delivered again. A command that a living server fails on, or does not answer in ENOUGH times that
 * patience, is dropped and told to onDrop, and the next one goes: nothing wedges the line.
 */

const ENOUGH = 8; // times the patience
const TRIES = 3; // when connections are cut though the server lives

/** Whether a later command makes a waiting one needless: the same level or field set again. */
function replaces(later, waiting) {
  if (later.name !== waiting.name || later.id !== waiting.id) return false;
  const [a, b] = [later.args || {}, waiting.args || {}];
  if (later.name === "level") return a.setup === b.setup && a.of === b.of;
  return later.name === "set" && a.field === b.field;
}

/**
 * @param {{deliver: (command: any) => void, isAlive: () => Promise<boolean>, onLost?: () => void, onBack?: () => void,
 *   onDrop?: (command: any) => void, patience_ms?: number, retry_ms?: number, timer?: any}} how
 */
export function queue({ deliver, isAlive, onLost = () => {}, onBack = () => {}, onDrop = () => {}, patience_ms = 6000, retry_ms = 2000, timer = globalThis }) {
  const waiting = [];
  let going = null;
  let clock = null;
  let lost = false;
  let stamp = 0;
  let waits = 0, tries = 0; // of the command that is on its way
  const empty = new Set(); // who waits until nothing is left

  function next() {
    if (going || lost) return;
    if (!waiting.length) {
      for (const done of [...empty]) done(true);
      return;
    }
    going = waiting[0];
    [waits, tries] = [0, 0];
    send();
  }

  function send() {
    if (clock !== null) timer.clearTimeout(clock);
    tries += 1;
    deliver(going);
    clock = timer.setTimeout(doubt, patience_ms);
  }

  function dropGoing() {
    const dropped = waiting.shift();
    settle();
    onDrop(dropped);
    next();
  }

  function settle() {
    if (clock !== null) timer.clearTimeout(clock);
    clock = null;
    going = null;
  }

  async function doubt() {
    clock = null;
    const which = going;
    const alive = await isAlive().catch(() => false);
    if (which && going !== which && !lost) return; // it answered meanwhile
    if (alive) {
      if (!which && !lost) return; // only a request beside the commands was cut
      if (lost) {
        lost = false;
        onBack();
        going = null;
        next();
      } else if (waits + 1 < ENOUGH) {
        waits += 1;
        clock = timer.setTimeout(doubt, patience_ms); // it is there and thinks: wait on
      } else {
        dropGoing();
      }
      return;
    }
    if (!lost) {
      lost = true;
      onLost();
    }
    if (clock !== null) timer.clearTimeout(clock); // of a command that came while the server was asked
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
      if (lost) {
        lost = false; // late, but a sign of life
        onBack();
      }
      next();
    },
    /** The request that carried the command came back with a bad status, or was cut off (status 0). */
    async failed(status) {
      const which = going;
      const alive = Boolean(status) || (await isAlive().catch(() => false));
      if (!going || going !== which || lost) return; // it answered meanwhile, or is being waited for
      if (!alive) this.noAnswer();
      else if (!status && tries < TRIES) send();
      else dropGoing();
    },
    noAnswer() {
      // a request failed outright, of a command or beside them: do not wait for patience to run out
      if (clock !== null) timer.clearTimeout(clock);
      doubt();
    },
    drop() {
      waiting.length = 0;
      settle();
      next();
    },
    /** Resolves with true once nothing waits, with false when that takes longer. */
    whenEmpty(most_ms) {
      if (!waiting.length) return Promise.resolve(true);
      return new Promise((resolve) => {
        const late = timer.setTimeout(() => done(false), most_ms);
        function done(found) {
          timer.clearTimeout(late);
          empty.delete(done);
          resolve(found);
        }
        empty.add(done);
      });
    },
    pending: () => [...waiting],
    size: () => waiting.length,
  };
};
