/* lumen.windows: two windows on one plan. Each window's work is kept; nobody's is written over without being asked.
 *
 *   lumen.windows.store({key, local, session, random}) -> {getItem(), setItem(text), removeItem(), part(), join(), apart()}
 *       the browser's memory of a plan under its key. After part() this window writes beside it, under a key of its own that
 *       outlives a reload, and join() goes back to the shared one. Texts only; what fails, fails as the store does.
 *   lumen.windows.watch({key, target, onOther()}) -> stop()      another window wrote under this key
 *   lumen.windows.fresh(random) -> a new identity, 16 signs of 0-9 and a-f
 */
(function (root) {
  "use strict";
  const lumen = (root.lumen = root.lumen || {});
  const MARK = "lumen-window";

  function fresh(random = () => root.crypto.getRandomValues(new Uint8Array(8))) {
    return [...random()].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  }

  function store({ key, local, session, random }) {
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

  function watch({ key, target = root, onOther }) {
    const heard = (event) => event.key === key && event.newValue !== null && onOther();
    target.addEventListener("storage", heard);
    return () => target.removeEventListener("storage", heard);
  }

  lumen.windows = { store, watch, fresh };
})(typeof window === "undefined" ? globalThis : window);
