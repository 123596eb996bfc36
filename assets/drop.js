/* drop: a thing from the drawer, let go over a drawing, becomes one "place" command of the page. Pure.
 *
 *   command(plan, {what, into?}, axes, [u, v], {system, setup}) -> {name: "place", args: {what, into?, setup, drop: {axes, at}}}
 *       at: where it was let go [m], on the 1 cm or 1/4 in grid counted from bed centre and floor (or the foot of the room)
 */
import * as Plan from "./plan.js";
import * as Units from "./units.js";

export const KIND = "application/x-lumen-place";

export function command(plan, chosen, axes, [u, v], { system = "cm", setup = null } = {}) {
  const grid = Units.grid(system);
  const centre = Plan.bedCentre(plan);
  const tidy = (value) => Math.round(value * 1e5) / 1e5;
  const at = [tidy(centre + Math.round((u - centre) / grid) * grid), tidy(Math.round(v / grid) * grid)];
  return { name: "place", args: { ...chosen, setup, drop: { axes, at } } };
}
