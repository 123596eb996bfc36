/* history: undo and redo of whole plans, pure, and their keeping in the browser.
 *
 *   start(plan)            -> {past: [], present: plan, future: []}
 *   record(state, plan)    -> new state; the same state when nothing changed (redo is then kept too)
 *   undo(state), redo(state) -> new state, or the same one at the end of the line
 *   as(state, identity)    -> the same steps as those of a plan with that identity
 *   can(state)             -> {undo: bool, redo: bool, undoSteps, redoSteps}
 *   keeper({storage, key, wait_ms, onTrouble}) -> {save(state), load() -> state|null, flush(), forget()}
 *
 * A state is never changed in place. 100 steps are kept. The keeper writes at most wait_ms (under 2 s) after the first
 * unsaved change, and when the page is hidden; when the store is full it drops the oldest steps before it gives up.
 */

export const CAP = 100;
const FORMAT = "lumen-history/1";

export function same(a, b) {
  if (a === b) return true;
  if (typeof a !== "object" || typeof b !== "object" || a === null || b === null) return false;
  if (Array.isArray(a) !== Array.isArray(b)) return false;
  const keys = Object.keys(a);
  if (keys.length !== Object.keys(b).length) return false;
  return keys.every((key) => Object.hasOwn(b, key) && same(a[key], b[key]));
}

export function start(plan) {
  return { past: [], present: plan, future: [] };
}

export function record(state, plan) {
  if (!state) return start(plan);
  if (same(state.present, plan)) return state;
  return { past: [...state.past, state.present].slice(-CAP), present: plan, future: [] };
}

export function undo(state) {
  if (!state?.past.length) return state;
  return {
    past: state.past.slice(0, -1),
    present: state.past[state.past.length - 1],
    future: [state.present, ...state.future].slice(0, CAP),
  };
}

export function redo(state) {
  if (!state?.future.length) return state;
  return {
    past: [...state.past, state.present].slice(-CAP),
    present: state.future[0],
    future: state.future.slice(1),
  };
}

export function as(state, identity) {
  const named = (plan) => ({ ...plan, identity });
  return { past: state.past.map(named), present: named(state.present), future: state.future.map(named) };
}

export function can(state) {
  const undoSteps = state ? state.past.length : 0;
  const redoSteps = state ? state.future.length : 0;
  return { undo: undoSteps > 0, redo: redoSteps > 0, undoSteps, redoSteps };
}

export function unpack(text) {
  try {
    const read = JSON.parse(text);
    const whole =
      read && read.format === FORMAT && read.present && Array.isArray(read.past) && Array.isArray(read.future);
    return whole ? { past: read.past, present: read.present, future: read.future } : null;
  } catch {
    return null; // a torn or foreign entry is as good as none
  }
}

export function pack(state) {
  return JSON.stringify({ format: FORMAT, ...state });
}

/** @param {{storage: any, key?: string, wait_ms?: number, onTrouble?: (text: string) => void, timer?: any}} how */
export function keeper({ storage, key = "lumen-history", wait_ms = 800, onTrouble = () => {}, timer = globalThis }) {
  let waiting = null;
  let unsaved = null;

  function write(state) {
    let kept = state;
    for (;;) {
      try {
        storage.setItem(key, pack(kept));
        return;
      } catch {
        // Full: let go of redo and the older half of undo, the plan itself last.
        if (!kept.past.length && !kept.future.length) {
          onTrouble("The browser has no room left to keep this plan: save it to a file.");
          return;
        }
        kept = { past: kept.past.slice(Math.ceil(kept.past.length / 2)), present: kept.present, future: [] };
      }
    }
  }

  function flush() {
    if (waiting !== null) timer.clearTimeout(waiting);
    waiting = null;
    if (unsaved) write(unsaved);
    unsaved = null;
  }

  return {
    save(state) {
      unsaved = state;
      if (waiting === null) waiting = timer.setTimeout(flush, wait_ms);
    },
    load() {
      try {
        return unpack(storage.getItem(key));
      } catch {
        return null; // storage switched off
      }
    },
    flush,
    forget() {
      unsaved = null;
      try {
        storage.removeItem(key);
      } catch {
        /* nothing was kept */
      }
    },
  };
}
