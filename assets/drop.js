/* lumen.drop: a thing from the drawer, let go over a drawing, becomes one "place" command of the page. Pure.
 *
 *   command(plan, {what, into?}, axes, [u, v], {system, setup}) -> {name: "place", args: {what, into?, setup, drop: {axes, at}}}
 *       at: where it was let go [m], on the 1 cm or 1/4 in grid counted from bed centre and floor (or the foot of the room)
 */
(function (root) {
  "use strict";
  const lumen = (root.lumen = root.lumen || {});
  const KIND = "application/x-lumen-place";

  function command(plan, chosen, axes, [u, v], { system = "cm", setup = null } = {}) {
    const grid = lumen.units.grid(system);
    const centre = lumen.plan.bedCentre(plan);
    const tidy = (value) => Math.round(value * 1e5) / 1e5;
    const at = [tidy(centre + Math.round((u - centre) / grid) * grid), tidy(Math.round(v / grid) * grid)];
    return { name: "place", args: { ...chosen, setup, drop: { axes, at } } };
  }

  lumen.drop = { command, KIND };
})(typeof window === "undefined" ? globalThis : window);
