/* hand: what is in the hand, by keys and by its card.
 *
 *   select(ids)       takes things in the hand
 *   onKeyFirst        Enter on the thing in the hand goes to its first number, Escape there goes back
 *   cardAside()       the card of what is in the hand lies on the side where the thing is not
 */
import { all, closest, one, part } from "./dom.js";
import { tell } from "./server.js";

export function select(ids) {
  tell("selection", ids);
}

/** Enter on the thing in the hand goes to its first number; Escape there goes back to the thing. */
export function onKeyFirst(event) {
  if (event.defaultPrevented || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
  const thing = closest(event, ".lm-thing.is-selected");
  if (event.key === "Enter" && thing && all(".lm-view-frame:not([hidden]) .lm-thing.is-selected").length === 1) {
    const input = one(".pg-hand input, .pg-hand select, .pg-hand button");
    if (!input) return;
    event.preventDefault();
    event.stopPropagation();
    input.focus();
    if (input instanceof HTMLInputElement) input.select();
  } else if (event.key === "Escape" && closest(event, ".pg-hand")) {
    const back = one(".lm-view-frame:not([hidden]) .lm-thing.is-selected");
    if (!back) return;
    event.preventDefault();
    event.stopPropagation();
    back.focus({ preventScroll: true });
  }
}

/** The card of what is in the hand lies on the side where the thing is not. */
export function cardAside() {
  const hand = part("hand");
  const thing = one(".lm-view-frame:not([hidden]) .lm-thing.is-selected");
  if (!hand?.parentElement || !thing) return;
  const [box, frame] = [thing.getBoundingClientRect(), hand.parentElement.getBoundingClientRect()];
  hand.dataset.side = box.left + box.width / 2 < frame.left + frame.width / 2 ? "right" : "left";
}
