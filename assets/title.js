/* title: the plan's name in its field.
 *
 *   showTitle()   the name as the plan has it
 *   fitTitle()    the field as high as the name is long
 */
import { field } from "./dom.js";
import { setProps } from "./server.js";
import { store } from "./store.js";

const LONG_TITLE = 14, VERY_LONG_TITLE = 36; // letters

/** The plan's name in its field; not while somebody types there, nor over what stands refused. */
export function showTitle() {
  const input = field("title");
  if (!input || !store.now.plan || input === document.activeElement || input.getAttribute("aria-invalid") === "true") return;
  if (input.value !== store.now.plan.title) setProps("title", { value: store.now.plan.title });
  requestAnimationFrame(fitTitle);
}

/** The whole name in sight: long ones smaller, over as many lines as they take. */
export function fitTitle() {
  const input = field("title");
  if (!input) return;
  input.classList.toggle("is-long", input.value.length > LONG_TITLE);
  input.classList.toggle("is-very-long", input.value.length > VERY_LONG_TITLE);
  input.style.height = "auto";
  input.style.height = `${input.scrollHeight}px`;
}
