/* asking: a question to the page's server whose refusal is said.
 *
 *   ask(path, body) -> Promise of what it answers, or of null when that was said already
 */
import { say } from "./say.js";
import { faultsIn, post } from "./server.js";

export async function ask(path, body = null) {
  try {
    const answer = await (body ? post(path, body) : fetch(path));
    const found = await answer.json().catch(() => ({}));
    if (answer.ok) return found;
    say(faultsIn(found) || `The page's server could not do this (${answer.status}). Your plan is kept in this browser.`);
  } catch {
    say("The page's server does not answer. Your plan is kept in this browser.");
  }
  return null;
}
