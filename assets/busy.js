/* busy: whether anything is on its way.
 *
 *   idle()   nothing is, and the words on screen belong to the plan
 *   mark()   says so on the root element: data-revision (of the plan that the words belong to), data-busy "yes" | "no"
 */
import * as Bridge from "./bridge.js";
import { store } from "./store.js";

export function idle() {
  const { document: held, shown, setup } = store.now;
  return Boolean(held && shown && shown.revision === held.revision && shown.setup === setup && Bridge.waiting() === 0);
}

export function mark() {
  const where = document.documentElement.dataset;
  where.busy = idle() ? "no" : "yes";
  if (store.now.shown) where.revision = String(store.now.shown.revision);
}
