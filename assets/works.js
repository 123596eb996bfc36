/* works: asks the server where a light works, again for each change of the plan, and tells it under the drawing.
 *
 *   toggle(id)     shows where a light works (the store's `patch`), or no longer when it is the same one again
 *   follow(now)    the plan is another one
 *   tell(plan)     the plan as it is drawn: the words in #patch-words follow the hand
 */
import { all } from "./dom.js";
import { about, say } from "./patch.js";
import * as Plan from "./plan.js";
import { faultsIn, post } from "./server.js";
import { store } from "./store.js";
import * as Units from "./units.js";

const WAIT_MS = 250;
/** @type {{light: string | null, asked: object | null, timer: any}} */
const mine = { light: null, asked: null, timer: 0 };

export function toggle(id) {
  mine.light = mine.light === id ? null : id;
  store.set({ patch: null });
  write(mine.light ? "Looking where it works ..." : "");
  press();
  ask(0);
}

export function follow() {
  if (mine.light) ask(WAIT_MS);
}

function ask(wait_ms) {
  clearTimeout(mine.timer);
  mine.asked = null;
  if (mine.light) mine.timer = setTimeout(fetchIt, wait_ms);
}

const lightOf = (plan) => plan && Plan.list(plan, "lights").find((each) => each.id === mine.light);

async function fetchIt() {
  const { plan } = store.now, { light } = mine;
  if (!lightOf(plan)) return light && toggle(light);
  const own = (mine.asked = {});
  try {
    const answer = await post("patch", { plan, light });
    const found = await answer.json();
    if (mine.asked !== own) return undefined;
    if (!answer.ok) throw new Error(faultsIn(found));
    store.set({ patch: found });
    return tell(store.now.plan);
  } catch (error) {
    if (mine.asked !== own) return undefined;
    toggle(light);
    return write(`Where it works cannot be shown: ${/** @type {Error} */ (error).message || "the page's server does not answer"}`);
  }
}

function write(words) {
  const place = document.getElementById("patch-words");
  if (place && place.textContent !== words) place.textContent = words;
}

/** The button of the light that is shown looks pressed. */
function press() {
  for (const each of all("[data-patch-of]")) each.setAttribute("aria-pressed", String(each.dataset.patchOf === mine.light));
}

export function tell(plan) {
  const { patch, system } = store.now, item = lightOf(plan);
  if (!patch || !item || patch.light !== mine.light) return;
  press();
  write(say(about(patch, item.mount_m), Plan.name(item), (length) => Units.say(length, system)));
}
