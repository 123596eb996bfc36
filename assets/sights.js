/* sights: who looks at which lamp, as lines on the drawings while somebody asks for it.
 *
 *   posture(places)                  -> the short word under an eye: "lying", "door"
 *   wanted(lines, {open, selection}) -> the lines to draw: all while the answer is open, else the harsh ones of a light in the hand
 *   nodes(now)                       -> SVG nodes for a drawing's context (now.at, now.plan, now.selection)
 *
 * The lines come with the answer "sight" as data-sights='[{light, places, start, end, harsh}]' (metres); a lamp that is being
 * moved takes its end of the line along.
 */
import * as Plan from "./plan.js";
import { make } from "./svg.js";

const HEAD_PX = 7; // half of a drawn eye

export function wanted(lines, { open = false, selection = [] } = {}) {
  return lines.filter((line) => open || (line.harsh && selection.includes(line.light)));
}

export function posture(places) {
  return [...new Set(places.map((place) => place.split(", ").pop().split(" ")[0]))].join(", ");
}

const read = { text: "", lines: [] };

function card() {
  return /** @type {HTMLDetailsElement | null} */ (document.querySelector("[data-sights]"));
}

function linesOf(element) {
  const text = element ? element.dataset.sights : "";
  if (text !== read.text) Object.assign(read, { text, lines: text ? JSON.parse(text) : [] });
  return read.lines;
}

function end(plan, line) {
  const light = Plan.list(plan, "lights").find((each) => each.id === line.light);
  return light ? Plan.lightCentre(plan, light) : line.end;
}

export function nodes(now) {
  const element = card();
  const lines = wanted(linesOf(element), { open: Boolean(element?.open), selection: now.selection });
  return lines.map((line) => node(now, line));
}

function node(now, line) {
  const [x0, y0] = now.at(line.start), [x1, y1] = now.at(end(now.plan, line));
  const eye = `M${x0 - HEAD_PX} ${y0}Q${x0} ${y0 - HEAD_PX} ${x0 + HEAD_PX} ${y0}Q${x0} ${y0 + HEAD_PX} ${x0 - HEAD_PX} ${y0}Z`;
  return make(
    "g",
    { class: `lm-sight${line.harsh ? " is-harsh" : ""}` },
    make("title", {}, `${line.places.join(", ")}: ${line.harsh ? "looks into" : "sees"} ${line.light}`),
    make("path", { class: "lm-sight-back", d: `M${x0} ${y0}L${x1} ${y1}` }),
    make("path", { class: "lm-sight-line", d: `M${x0} ${y0}L${x1} ${y1}` }),
    make("path", { class: "lm-sight-eye", d: eye }),
    make("circle", { class: "lm-sight-pupil", cx: x0, cy: y0, r: 2 }),
    make("text", { class: "lm-sight-words", x: x0, y: y0 + 2.4 * HEAD_PX }, posture(line.places))
  );
}
