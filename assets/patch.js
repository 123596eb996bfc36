/* patch: where one light works, drawn on its wall, and which edge comes near while it is moved.
 *
 *   fits(patch, at)                     whether its cells lie apart on a drawing (a ceiling's do not on the wall)
 *   about(patch, mount)                 -> {met, of, best, why, against, near: {way, away_m, words} | null} at the cell nearest to a mount
 *   say(found, name, print)             -> the sentence about it; print(metres) -> text
 *   cells(now) / marks(now)             -> SVG nodes under the things, and over them, for a drawing's context (now.patch)
 *
 * A patch is the server's, shape `patch` of lumen-find/1: cells {along_m, up_m, mount_m, met, why, against}, words, of, step_m.
 */
import * as Plan from "./plan.js";
import { pill } from "./readout.js";
import { make } from "./svg.js";

const NEAR_M = 0.3; // an edge farther off than this is not named: ours
const WAYS = [["higher", 0, 1], ["lower", 0, -1], ["to the right", 1, 0], ["to the left", -1, 0]];

export function fits(patch, at) {
  const places = new Set(patch.cells.map((cell) => at(cell.mount_m).map((x) => Math.round(x * 10)).join()));
  return places.size === patch.cells.length;
}

const key = (i, j) => `${i}/${j}`;

/** Cells by their steps from the light's own place. */
function grid(patch) {
  if (!patch.byStep) {
    const [u, v] = patch.here;
    const step = (cell) => key(Math.round((cell.along_m - u) / patch.step_m), Math.round((cell.up_m - v) / patch.step_m));
    Object.defineProperty(patch, "byStep", { value: new Map(patch.cells.map((cell) => [step(cell), cell])) });
  }
  return patch.byStep;
}

const told = (patch, numbers) => numbers.map((number) => patch.words[number]);

export function about(patch, mount) {
  const apart = (cell) => Math.hypot(...cell.mount_m.map((x, k) => x - mount[k]));
  const cell = patch.cells.reduce((best, one) => (!best || apart(one) < apart(best) ? one : best), null);
  if (!cell) return null;
  const [u, v] = patch.here;
  const i = Math.round((cell.along_m - u) / patch.step_m), j = Math.round((cell.up_m - v) / patch.step_m);
  const off = [0, 1, 2].map((k) => mount[k] - cell.mount_m[k]);
  const edges = WAYS.flatMap(([way, a, b]) => edge(patch, cell, [i, j], [a, b], way, off) ?? []);
  edges.sort((p, q) => p.away_m - q.away_m);
  const near = edges.length && edges[0].away_m <= NEAR_M ? edges[0] : null;
  const best = Math.max(0, ...patch.cells.filter((one) => !one.against.length).map((one) => one.met));
  return { met: cell.met, of: patch.of, best, why: told(patch, cell.why), against: told(patch, cell.against), near };
}

/** What breaks first one way from a cell, and how far off its nearer side is. */
function edge(patch, from, [i, j], [a, b], way, off) {
  const cells = grid(patch);
  for (let n = 1; ; n += 1) {
    const cell = cells.get(key(i + n * a, j + n * b));
    if (!cell) return null;
    const newly = cell.why.filter((number) => !from.why.includes(number));
    const barred = cell.against.filter((number) => !from.against.includes(number));
    if (!newly.length && !barred.length) continue;
    const along = patch.right.reduce((sum, x, k) => sum + x * off[k], 0);
    const gone = a ? a * along : b * (off[2] || 0);
    return { way, away_m: Math.max(0, (n - 0.5) * patch.step_m - gone), words: told(patch, [...barred, ...newly]) };
  }
}

export function say(found, name, print) {
  if (!found) return "";
  const here = `${name[0].toUpperCase()}${name.slice(1)} here: ${found.met} of ${found.of} wishes hold`;
  const parts = [found.best > found.met ? `${here}, at best ${found.best} elsewhere.` : `${here}; no place meets more as it is.`];
  if (found.against.length) parts.push(`It may not hang here: ${found.against[0]}.`);
  if (found.near) parts.push(`${print(found.near.away_m)} ${found.near.way}: ${found.near.words.slice(0, 2).join("; ")}.`);
  else if (!found.against.length) parts.push("No edge is near.");
  return parts.join(" ");
}

const light = (now) => Plan.list(now.plan, "lights").find((each) => each.id === now.patch.light);

export function cells(now) {
  const { patch } = now;
  if (!patch || !light(now) || !fits(patch, now.at)) return [];
  const met = patch.cells.map((cell) => cell.met);
  const least = Math.min(...met), most = Math.max(...met);
  const side = patch.step_m * now.scale;
  return [
    make(
      "g", { class: "lm-patch", "aria-hidden": "true" },
      patch.cells.map((cell) => {
        const [x, y] = now.at(cell.mount_m);
        const share = most > least ? (cell.met - least) / (most - least) : cell.met / patch.of;
        const rect = { x: x - side / 2, y: y - side / 2, width: side, height: side };
        if (cell.against.length) return make("path", { class: "lm-patch-not", d: hatch(rect) });
        return make("rect", { class: "lm-patch-cell", ...rect, style: `fill-opacity:${(0.06 + 0.6 * share * share).toFixed(2)}` });
      })
    ),
  ];
}

/** Two slanting strokes across a cell. */
function hatch({ x, y, width, height }) {
  return `M${x} ${y + height / 2}L${x + width / 2} ${y}M${x} ${y + height}L${x + width} ${y}M${x + width / 2} ${y + height}L${x + width} ${y + height / 2}`;
}

export function marks(now) {
  const item = now.patch && light(now);
  if (!item || !fits(now.patch, now.at)) return [];
  const found = about(now.patch, item.mount_m);
  const [x, y] = now.at(item.mount_m);
  return found ? [pill(x, y - 30, `${found.met} of ${found.of} wishes`)] : [];
}
