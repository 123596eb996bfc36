/* lumen.drop: a thing from the drawer, let go over a drawing, becomes one "add" command. Pure.
 *
 *   command(plan, {section, item}, axes, [u, v], system) -> {name: "add", args: {section, item}}
 *       item without a free id gets one ("light", "light 2", ...); its place is where it was let go, on the 1 cm grid
 */
(function (root) {
  "use strict";
  const lumen = (root.lumen = root.lumen || {});

  function freeId(plan, wanted) {
    const taken = new Set(lumen.plan.SECTIONS.flatMap((section) => lumen.plan.list(plan, section).map((item) => item.id)));
    if (!taken.has(wanted)) return wanted;
    for (let n = 2; ; n += 1) if (!taken.has(`${wanted} ${n}`)) return `${wanted} ${n}`;
  }

  function command(plan, { section, item }, axes, [u, v], system = "cm") {
    const room = lumen.plan.extent(plan);
    const grid = lumen.units.grid(system);
    const centre = lumen.plan.bedCentre(plan);
    const tidy = (value) => Math.round(value * 1e5) / 1e5;
    const x = tidy(centre + Math.round((u - centre) / grid) * grid);
    const w = tidy(Math.round(v / grid) * grid);
    const onWall = axes[1] === 2;
    const made = { ...item, id: freeId(plan, item.id || section.replace(/s$/, "")) };
    if (section === "lights") {
      const up = made.mount_m ? made.mount_m[2] : 1.3;
      made.mount_m = onWall ? [x, room.y1, w] : [x, made.mount === "ceiling" || made.mount === "stand" ? w : room.y1, up];
    } else if (section === "furniture") {
      const foot = made.at_m ? made.at_m[2] : 0;
      const deep = room.y1 - made.size_m[1] / 2;
      made.at_m = onWall ? [x, deep, foot > 0.02 ? w : 0] : [x, w, foot];
    } else if (section === "strips") {
      const first = made.path_m[0];
      const by = [x - first[0], onWall ? 0 : w - first[1], onWall ? w - first[2] : 0];
      made.path_m = made.path_m.map((point) => point.map((value, k) => tidy(value + by[k])));
    } else if (section === "supply" && made.kind !== "circuit") {
      made.at_m = onWall ? [x, made.kind === "outlet" ? room.y1 : room.y1 - 0.05, w] : [x, w, made.at_m ? made.at_m[2] : 0.3];
    }
    return { name: "add", args: { section, item: made } };
  }

  lumen.drop = { command, freeId };
})(typeof window === "undefined" ? globalThis : window);
