/* windows: two windows on one plan. Each window's work is kept; nobody's is written over without being asked.
 *
 *   store({key, local, session, random}) -> {getItem(), setItem(text), removeItem(), part(), join(), apart()}
 *       the browser's memory of a plan under its key. After part() this window writes beside it, under a key of its own that
 *       outlives a reload, and join() goes back to the shared one. Texts only; what fails, fails as the store does.
 *   watch({key, target, onOther()}) -> stop()      another window wrote under this key
 *   fresh(random) -> a new identity, 16 signs of 0-9 and a-f
 */

const MARK = "lumen-window";

export function fresh(random = () => crypto.getRandomValues(new Uint8Array(8))) {
  return [...random()].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** @param {{key: string, local: any, session: any, random?: () => Uint8Array<ArrayBuffer>}} how */
export function store({ key, local, session, random }) {
  const name = `${MARK} ${key}`;
  const mine = () => {
    try {
      return session.getItem(name);
    } catch {
      return null; // a window without a memory of its own shares the common one
    }
  };
  const own = () => (mine() ? `${key} ~${mine()}` : key);
  return {
    getItem() {
      const text = local.getItem(own());
      return text === null ? local.getItem(key) : text;
    },
    setItem: (_, text) => local.setItem(own(), text),
    removeItem: () => local.removeItem(own()),
    part() {
      if (!mine()) session.setItem(name, fresh(random));
    },
    join() {
      if (!mine()) return;
      local.removeItem(own());
      session.removeItem(name);
    },
    apart: () => Boolean(mine()),
  };
}

export function watch({ key, target = globalThis, onOther }) {
  const heard = (event) => event.key === key && event.newValue !== null && onOther();
  target.addEventListener("storage", heard);
  return () => target.removeEventListener("storage", heard);
}
