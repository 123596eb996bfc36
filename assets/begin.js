/* begin: the one place where the scripts and Dash meet.
 *
 * The page loads this module last; it names the function that Dash's clientside callbacks call and only then starts Dash's
 * renderer, so that no callback comes before the function it is for. Each callback brings what belongs together: values of
 * Dash's stores, which go into the page's own store under the same names.
 */
import * as bridge from "./bridge.js";
import { part } from "./dom.js";
import * as page from "./page.js";
import { store } from "./store.js";

let begun = false;

function told() {
  if (!begun) {
    begun = true;
    page.begin(JSON.parse(part("page")?.dataset.opened || "{}"));
  }
  const stores = window.dash_clientside.callback_context.inputs_list;
  const found = Object.fromEntries(stores.filter(({ value }) => value !== null && value !== undefined).map(({ id, value }) => [id, value]));
  if (found.document) found.plan = found.document.plan;
  if (found.study) found.study = read(found.study);
  store.set(found);
}

// The study comes as text; it is read once, and the same object is handed on until another comes.
const last = { text: "", study: null };

function read(text) {
  if (text !== last.text) Object.assign(last, { text, study: JSON.parse(text) });
  return last.study;
}

window.dash_clientside = Object.assign(window.dash_clientside || {}, { page: { told } });
window.renderer = new window.DashRenderer();

export { bridge, page, store };
