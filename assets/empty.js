/* empty: a room of one's own from six questions; the drawing follows each answer.
 *
 *   make(from)        sends the room that the answers make; from: the field that was answered last, or null
 *   onAnswer(event)   a listener's part: true where the event was an answer
 *   follow(now)       shows the first setup of a room that was just made
 *
 * A question is [data-begin="key"] with an input, a select or boxes. Answers to the same room keep its identity.
 */
import { all, closest, one } from "./dom.js";
import { send } from "./forms.js";
import { tell } from "./server.js";
import { store } from "./store.js";
import * as Windows from "./windows.js";

/** @type {{identity: string | null, asked: boolean}} */
const made = { identity: null, asked: false }; // the room that was made here, and whether its first setup is still to be shown

function answers() {
  /** @type {Record<string, unknown>} */
  const given = { system: store.now.system };
  for (const question of all("[data-begin]")) {
    const boxes = /** @type {HTMLInputElement[]} */ (all("input[type=checkbox]", question));
    const control = /** @type {HTMLInputElement | null} */ (one("input, select", question));
    given[String(question.dataset.begin)] = boxes.length ? boxes.filter((box) => box.checked).map((box) => box.value) : control?.value.trim() || "";
  }
  return given;
}

/** @param {HTMLElement | null} from */
export function make(from = null) {
  for (const question of all("[data-begin]")) {
    const fault = one(".lm-fault", question);
    if (fault) fault.textContent = "";
    for (const control of all("input, select", question)) control.removeAttribute("aria-invalid");
  }
  if (!made.identity || store.now.plan?.identity !== made.identity) made.identity = Windows.fresh();
  made.asked = true;
  send({ name: "replace", args: { begun: answers(), identity: made.identity } }, from);
}

export function onAnswer(event) {
  const question = closest(event, "[data-begin]");
  if (question) make(question);
  return Boolean(question);
}

export function follow({ plan }) {
  if (!made.asked || plan?.identity !== made.identity) return;
  made.asked = false;
  tell("setup", plan.setups[0].id);
}
