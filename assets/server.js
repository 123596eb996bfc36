/* server: what the page says to its server.
 *
 *   tell(name, data)     a value of the page's store that the server's callbacks follow: "command", "selection", "setup", ...
 *   setProps(id, props)  props of a control that Dash draws
 *   post(path, body)     -> Promise of the answer to a request beside Dash's own
 *   faultsIn(found)      -> the sentences of a refusal
 */
import { store } from "./store.js";

export const setProps = (id, props) => window.dash_clientside.set_props(id, props);

export function tell(name, data) {
  if (name in store.now) store.set({ [name]: data });
  setProps(name, { data });
}

export const post = (path, body, more = {}) =>
  fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body), ...more });

export const faultsIn = (found) => (found.faults || []).map((each) => `${each.field} ${each.rule}`.trim()).join("; ");
