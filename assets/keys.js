/* keys: what a key press means on a drawing, pure.
 *
 *   meaning(event, {system}) -> null or one of
 *     {do: "nudge", du, dv}   arrows: 1 cm (1/4 in), Shift ten times that, in metres
 *     {do: "cancel"} Escape   {do: "remove"} Delete, Backspace   {do: "duplicate"} Ctrl/Cmd+D   {do: "mirror"} M
 *     {do: "undo"} Ctrl/Cmd+Z {do: "redo"} Ctrl/Cmd+Shift+Z, Ctrl+Y
 *     {do: "pick", add} Enter, Space (Shift adds)   {do: "all"} Ctrl/Cmd+A
 *     {do: "zoom", by} + and -   {do: "whole"} 0
 * Tab is left to the browser: it walks from thing to thing, and out again at the end.
 */
import * as Units from "./units.js";

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

export function meaning(event, { system = "cm" } = {}) {
  const command = event.ctrlKey || event.metaKey;
  const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
  if (command) {
    if (key === "z") return { do: event.shiftKey ? "redo" : "undo" };
    if (key === "y") return { do: "redo" };
    if (key === "d") return { do: "duplicate" };
    if (key === "a") return { do: "all" };
    return null;
  }
  if (ARROWS[key]) {
    const step = Units.grid(system) * (event.shiftKey ? 10 : 1);
    const [du, dv] = ARROWS[key];
    return { do: "nudge", du: du * step, dv: dv * step };
  }
  if (event.altKey) return null;
  if (key === "Escape") return { do: "cancel" };
  if (key === "Delete" || key === "Backspace") return { do: "remove" };
  if (key === "m") return { do: "mirror" };
  if (key === "Enter" || key === " ") return { do: "pick", add: event.shiftKey };
  if (key === "+" || key === "=") return { do: "zoom", by: 1.25 };
  if (key === "-") return { do: "zoom", by: 0.8 };
  if (key === "0") return { do: "whole" };
  return null;
}
