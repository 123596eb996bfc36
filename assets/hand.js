/* hand: what is in the hand, by keys and by its card.
 *
 *   select(ids)       takes things in the hand
 *   closest(event, selector) -> the element around what was pressed, or null
 *   onKeyFirst        Enter on the thing in the hand goes to its first number, Escape there goes back
 *   cardAside()       the card of what is in the hand lies on the side where the thing is not
 */
import { tell } from "./server.js";

export const closest = (event, selector) => (event.target.closest ? event.target.closest(selector) : null);

export function select(ids) {
  tell("selection", ids);
}

/** Enter on the thing in the hand goes to its first number; Escape there goes back to the thing. */
export function onKeyFirst(event) {
  if (event.defaultPrevented || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
  const thing = closest(event, ".lm-thing.is-selected");
  if (event.key === "Enter" && thing && document.querySelectorAll(".lm-view-frame:not([hidden]) .lm-thing.is-selected").length === 1) {
    const field = document.querySelector(".pg-hand input, .pg-hand select, .pg-hand button");
    if (!field) return;
    event.preventDefault();
    event.stopPropagation();
    field.focus();
    if (field.select) field.select();
  } else if (event.key === "Escape" && closest(event, ".pg-hand")) {
    const back = document.querySelector(".lm-view-frame:not([hidden]) .lm-thing.is-selected");
    if (!back) return;
    event.preventDefault();
    event.stopPropagation();
    back.focus({ preventScroll: true });
  }
}

/** The card of what is in the hand lies on the side where the thing is not. */
export function cardAside() {
  const hand = document.getElementById("hand");
  const thing = document.querySelector(".lm-view-frame:not([hidden]) .lm-thing.is-selected");
  if (!hand || !thing) return;
  const [box, frame] = [thing.getBoundingClientRect(), hand.parentElement.getBoundingClientRect()];
  hand.dataset.side = box.left + box.width / 2 < frame.left + frame.width / 2 ? "right" : "left";
}
