/* store: what the page knows, by names, in one place; whoever wants to know of a change subscribes.
 *
 *   store.now                         the values as they are, by name (see Known)
 *   store.set({name: value, ...})     takes values up; all are in place before anybody is told
 *   store.subscribe(names, act)  -> stop()      act(now, changed) is called once for a set() that changes one of the names
 *   createStore(first) -> a store of its own    (the page has one: `store`)
 *
 * A value that is the same one (===) is no change; undefined is none either. What is set while others are told is told after.
 */

/**
 * What the page knows. The server gives the first ones, the person's hand the others.
 * @typedef {object} Known
 * @property {{revision: number, plan: any} | null} document   the one document as the server has it
 * @property {any} plan                  the document's plan
 * @property {any} answered              how the last command fared: {stamp, faults, made, said, setup}
 * @property {any} study                 the study's answers
 * @property {any} fields                maps for the drawings
 * @property {{revision: number, setup: string} | null} shown   what the words on screen belong to
 * @property {string[]} selection        ids of what is in the hand
 * @property {string | null} setup       id of the setup on show
 * @property {"cm" | "ft-in"} system     how lengths are written
 * @property {"wall" | "above" | "side" | "walk"} look    which drawing is on show
 * @property {"glow" | "lux" | "none"} paint     how the light is drawn
 * @property {number} exposure           luminance drawn at 63 % of the screen's light [cd/m2]
 * @property {string} place              from where the walk-in view looks
 * @property {{index: number} | null} caution    the caution whose mark was pressed
 * @property {any} patch                 where a light works, as the server has it, or null
 * @property {{undo: boolean, redo: boolean} | null} history    what can be undone
 * @property {{text: string} | null} trouble     a sentence to say
 */

/** Panels of the page, each HTML by the id of its place; the server makes them. */
export const PANELS = ["study-panels", "form-panels", "choice-panels", "start-panels", "heights-panels", "compare-panels"];

/** @type {Known} */
const FIRST = {
  document: null, plan: null, answered: null, study: null, fields: null, shown: null, selection: [], setup: null, system: "cm",
  look: "wall", paint: "glow", exposure: 25, place: "door", caution: null, patch: null, history: null, trouble: null,
};

/**
 * @template {Record<string, any>} T
 * @param {T} first
 */
export function createStore(first) {
  let now = { ...first };
  /** @type {Set<{names: Set<string>, act: (now: T, changed: Set<string>) => void}>} */
  const listeners = new Set();
  /** @type {Partial<T>[]} */
  const waiting = [];
  let telling = false;

  /** @param {Partial<T>} changes */
  function take(changes) {
    const fresh = Object.entries(changes).filter(([name, value]) => value !== undefined && value !== /** @type {any} */ (now)[name]);
    if (!fresh.length) return;
    now = { ...now, ...Object.fromEntries(fresh) };
    const changed = new Set(fresh.map(([name]) => name));
    for (const { names, act } of [...listeners]) {
      if (![...changed].some((name) => names.has(name))) continue;
      try {
        act(now, changed);
      } catch (error) {
        console.error(error); // the others are told all the same
      }
    }
  }

  return {
    get now() {
      return now;
    },
    /** @param {Partial<T>} changes */
    set(changes) {
      waiting.push(changes);
      if (telling) return;
      telling = true;
      for (let next = waiting.shift(); next; next = waiting.shift()) take(next);
      telling = false;
    },
    /**
     * @param {Iterable<string>} names
     * @param {(now: T, changed: Set<string>) => void} act
     */
    subscribe(names, act) {
      const listener = { names: new Set(names), act };
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
  };
}

export const store = createStore(FIRST);
