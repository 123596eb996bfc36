/* snap: where a dragged thing settles, pure.
 *
 *   candidates(plan, id, axes) -> [{axis: "u"|"v", at, kind, words, offset?}]
 *       kind: "centre" | "twin" | "outlet" | "edge" | "floor"; axes = [0, 2] on the wall, [0, 1] from above
 *   settle([u, v], candidates, {reach_m, grid_m, origin: [u, v], free}) -> {at: [u, v], guides: [candidate, ...]}
 *       nearest candidate within reach on each axis, else the grid counted from origin; free (Alt) leaves it as it is
 *
 * `offset` is where on the thing the line is taken (an edge, not the middle), in metres from its own place.
 * A light is not drawn to the line above an outlet: a hidden cable may run there.
 */
import * as Plan from "./plan.js";

export function candidates(plan, id, axes) {
  const { find, twin, list, bedCentre, PLACE } = Plan;
  const found = find(plan, id);
  if (!found) return [];
  const { section, item } = found;
  const [au, av] = axes;
  const onWall = av === 2;
  const centre = bedCentre(plan);
  const lines = [];
  const isBed = section === "furniture" && (item.kind === "mattress" || item.kind === "bed frame");
  if (!isBed && au === 0) lines.push({ axis: "u", at: centre, kind: "centre", words: "bed centre line" });
  const other = twin(plan, id);
  const field = PLACE[section];
  if (other && field && other[field]) {
    if (au === 0) lines.push({ axis: "u", at: 2 * centre - other[field][au], kind: "twin", words: `as far out as ${Plan.name(other)}` });
    lines.push({ axis: "v", at: other[field][av], kind: "twin", words: `level with ${Plan.name(other)}` });
  }
  if (section === "lights" && onWall) {
    for (const light of list(plan, "lights")) {
      if (light.id !== id && light !== other) {
        lines.push({ axis: "v", at: light.mount_m[2], kind: "twin", words: `level with ${Plan.name(light)}` });
      }
    }
  }
  if (section === "supply" && onWall) {
    for (const node of list(plan, "supply")) {
      if (node.id !== id && node.kind === "outlet" && node.at_m) {
        lines.push({ axis: "v", at: node.at_m[2], kind: "outlet", words: "outlet line" });
      }
    }
  }
  if (section === "furniture") lines.push(...edges(plan, item, axes));
  return lines;
}

function edges(plan, item, [au, av]) {
  const lines = [];
  const half = (thing, axis) => thing.size_m[axis] / 2;
  const room = Plan.extent(plan);
  for (const other of Plan.list(plan, "furniture")) {
    if (other.id === item.id) continue;
    for (const mine of au === 0 ? [-1, 1] : []) {
      lines.push({
        axis: "u", at: other.at_m[au] - mine * half(other, au), offset: mine * half(item, au), kind: "edge",
        words: `beside ${Plan.name(other)}`,
      });
      if (av === 1) {
        lines.push({
          axis: "v", at: other.at_m[1] - mine * half(other, 1), offset: mine * half(item, 1), kind: "edge",
          words: `beside ${Plan.name(other)}`,
        });
      }
    }
    if (av === 2) {
      lines.push({
        axis: "v", at: other.at_m[2] + other.size_m[2], offset: item.size_m[2], kind: "edge",
        words: `top level with ${Plan.name(other)}`,
      });
    }
  }
  if (av === 2) lines.push({ axis: "v", at: 0, kind: "floor", words: "on the floor" });
  if (au === 1) return [...lines, { axis: "u", at: Plan.wallY(plan), offset: Plan.reachBack(item), kind: "edge", words: "against the bed wall" }];
  lines.push({ axis: "u", at: room.x0, offset: -half(item, 0), kind: "edge", words: "against the left wall" });
  lines.push({ axis: "u", at: room.x1, offset: half(item, 0), kind: "edge", words: "against the right wall" });
  if (av === 1) {
    lines.push({ axis: "v", at: room.y1, offset: half(item, 1), kind: "edge", words: "against the bed wall" });
    lines.push({ axis: "v", at: room.y0, offset: -half(item, 1), kind: "edge", words: "against the foot wall" });
  }
  return lines;
}

export function settle([u, v], lines, { reach_m = 0.02, grid_m = 0.01, origin = [0, 0], free = false, axes = "uv" } = {}) {
  if (free) return { at: [u, v], guides: [] };
  const at = [u, v];
  const guides = [];
  ["u", "v"].forEach((axis, k) => {
    if (!axes.includes(axis)) return;
    let best = null;
    for (const line of lines) {
      if (line.axis !== axis) continue;
      const off = Math.abs(at[k] + (line.offset || 0) - line.at);
      if (off <= reach_m && (!best || off < best.off - 1e-9)) best = { off, line };
    }
    if (best) {
      at[k] = best.line.at - (best.line.offset || 0);
      guides.push(best.line);
    } else if (grid_m) {
      at[k] = origin[k] + Math.round((at[k] - origin[k]) / grid_m) * grid_m;
    }
    at[k] = Math.round(at[k] * 1e5) / 1e5;
  });
  return { at, guides };
}
