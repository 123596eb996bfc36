/* wall: the bed wall in elevation, the drawing where the drilling happens.
 *
 *   mount(element, opts) -> view (see stage.js for opts and the view)
 *   look                    what the stage draws with; `silhouette(plan, context)` is used for small pictures
 *
 * Furniture is calm line work before the painted wall; nearer things hide farther ones; what stands far from the wall is a
 * dashed ghost. Outlets, strips and what is plugged in are always drawn, so that nothing hidden is forgotten.
 */
import * as Moves from "./moves.js";
import * as Paint from "./paint.js";
import * as Plan from "./plan.js";
import * as Stage from "./stage.js";
import { hull, make, path } from "./svg.js";
import { usual } from "./usual.js";

const AXES = [0, 2];
const FAR_M = 1.2;

const extent = (plan) => {
  const top = Plan.wallTop(plan);
  const room = Plan.extent(plan);
  return { u0: Math.min(room.x0, top[0][0]), u1: Math.max(room.x1, top[top.length - 1][0]), v0: -0.06, v1: room.z1 };
};

export function outline(plan) {
  const top = Plan.wallTop(plan);
  return [[top[0][0], 0], ...top, [top[top.length - 1][0], 0]];
}

const surfaces = (plan, now) => [{ grid: "wall", clip: outline(plan), behind: now ? hiding(now, () => true) : [] }];

/** Boxes on the drawing, in pixels, of the furniture that hides what lies behind or below it. */
export function hiding(now, which) {
  return Plan.list(now.plan, "furniture").filter(which).map((item) => {
    const points = Plan.boxCorners(item).map(now.at);
    const xs = points.map((p) => p[0]), ys = points.map((p) => p[1]);
    return [Math.min(...xs) - 4, Math.min(...ys) - 4, Math.max(...xs) + 4, Math.max(...ys) + 4];
  });
}

export function hitBox(points, least) {
  const xs = points.map((p) => p[0]), ys = points.map((p) => p[1]);
  const x0 = Math.min(...xs), x1 = Math.max(...xs), y0 = Math.min(...ys), y1 = Math.max(...ys);
  const w = Math.max(least, x1 - x0), h = Math.max(least, y1 - y0);
  return make("rect", {
    class: "lm-hit", x: (x0 + x1) / 2 - w / 2, y: (y0 + y1) / 2 - h / 2, width: w, height: h,
  });
}

// ---- furniture -----------------------------------------------------------------------------------------------------
function furniture(now, item) {
  const corners = hull(Plan.boxCorners(item).map(now.at));
  const room = Plan.extent(now.plan);
  const isBed = item.kind === "mattress" || item.kind === "bed frame";
  const far = !isBed && room.y1 - (item.at_m[1] + item.size_m[1] / 2) > FAR_M;
  const lrv = Plan.lrvOf(item) / 100;
  const fill = far ? "none" : Paint.ambient(now, lrv) || "";
  const nodes = [make("path", { class: `lm-box${far ? " is-far" : ""}`, d: path(corners, true), style: fill ? `fill:${fill}` : "" })];
  const xs = corners.map((p) => p[0]), ys = corners.map((p) => p[1]);
  const x0 = Math.min(...xs), x1 = Math.max(...xs), y0 = Math.min(...ys), y1 = Math.max(...ys);
  const inset = 0.02 * now.scale;
  if (item.kind === "mattress") {
    const seam = y0 + (y1 - y0) * 0.3;
    nodes.push(make("path", { class: "lm-fine", d: `M${x0 + inset} ${seam}H${x1 - inset}` }));
  } else if (item.kind === "nightstand" || item.kind === "chest") {
    const drawers = item.kind === "chest" ? 3 : 1;
    for (let i = 0; i < drawers; i += 1) {
      const top = y0 + ((y1 - y0) * i) / drawers, low = y0 + ((y1 - y0) * (i + 1)) / drawers;
      nodes.push(
        make("rect", { class: "lm-fine", x: x0 + inset, y: top + inset, width: Math.max(1, x1 - x0 - 2 * inset), height: Math.max(1, low - top - 2 * inset), rx: 2 })
      );
    }
  } else if (item.kind === "headboard" && x1 - x0 > 60) {
    const panels = Math.max(2, Math.round((x1 - x0) / now.scale / 0.42));
    for (let i = 1; i < panels; i += 1) {
      const x = x0 + ((x1 - x0) * i) / panels;
      nodes.push(make("path", { class: "lm-fine", d: `M${x} ${y0 + inset}V${y1}` }));
    }
  } else if (item.kind === "wardrobe") {
    nodes.push(make("path", { class: "lm-fine", d: `M${(x0 + x1) / 2} ${y0}V${y1}` }));
  }
  return { id: item.id, kind: "furniture", depth: item.at_m[1] - item.size_m[1] / 2, mark: [x1 - 14, y0 + 14], nodes };
}

// ---- people --------------------------------------------------------------------------------------------------------
function person(now, someone) {
  const reads = someone.reads !== false;
  const eye = reads ? Plan.readingEye(now.plan, someone) : Plan.lyingEye(now.plan, someone);
  if (!eye) return null;
  const [x, y] = now.at(eye);
  const r = 0.095 * now.scale;
  const nodes = [];
  if (reads) {
    const shoulder = 0.22 * now.scale, neck = 0.17 * now.scale, drop = 0.34 * now.scale;
    nodes.push(
      make("path", {
        class: "lm-person",
        d: `M${x - shoulder} ${y + neck + drop}C${x - shoulder} ${y + neck * 1.05} ${x - r} ${y + neck * 1.1} ${x - r * 0.45} ${y + r * 0.85}H${x + r * 0.45}C${x + r} ${y + neck * 1.1} ${x + shoulder} ${y + neck * 1.05} ${x + shoulder} ${y + neck + drop}`,
      })
    );
  }
  nodes.push(make("circle", { class: "lm-person is-head", cx: x, cy: y - 0.02 * now.scale, r }));
  nodes.push(make("circle", { class: "lm-eye", cx: x, cy: y, r: 2 }));
  if (reads) {
    const page = (Plan.pageCorners(now.plan, someone) || []).map(now.at);
    const [a, b, c, d] = page;
    const mid = (p, q) => [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2];
    const fold = [mid(a, b), mid(d, c)];
    nodes.push(
      make(
        "g", { class: "lm-page", "data-page": "" },
        make("path", { d: path(page, true) }),
        make("path", { class: "lm-fine", d: path(fold) }),
        hitBox(page, 32)
      )
    );
  }
  const box = hitBox([[x - r, y - r], [x + r, y + r]], 44);
  return { id: someone.id, kind: "person", depth: -50, mark: [x + r, y - r], nodes: [box, ...nodes] };
}

// ---- lights --------------------------------------------------------------------------------------------------------
/** Outline of a shade in metres around the lamp: [[u, v], ...] closed. */
export function shadeOutline(form) {
  const { low, high, height, under } = Plan.shadeSizes(form);
  return [[-low, -under], [low, -under], [high, height - under], [-high, height - under]];
}

export function lightShape(now, light, x, y) {
  const form = light.distribution || { form: "all round" };
  const glow = Paint.glowOf(now, light.id);
  const lit = { class: `lm-shade${glow.level > 0 ? " is-lit" : ""}`, style: glow.css ? `fill:${glow.css}` : "" };
  const at = (u, v) => [x + u * now.scale, y - v * now.scale];
  if (form.form === "shade" && form.shape === "globe") {
    return [make("circle", { ...lit, cx: x, cy: y, r: Math.max(7, (form.bottom_diameter_m / 2) * now.scale) })];
  }
  if (form.form === "shade" && form.shape !== "head") {
    const corners = shadeOutline(form).map(([u, v]) => at(u, v));
    return [make("path", { ...lit, d: path(corners, true), "stroke-linejoin": "round" })];
  }
  if (form.form === "beam" || form.form === "cosine" || form.form === "shade") return spot(now, light, form, lit, x, y);
  if (form.form === "panel") {
    const wide = Math.max(8, (form.width_m / 2) * now.scale);
    return [make("rect", { ...lit, x: x - wide, y: y - 4, width: 2 * wide, height: 8 })];
  }
  if (form.form === "opal") {
    const r = Math.max(7, (Plan.lightWide(light) / 2) * now.scale);
    return [make("circle", { ...lit, cx: x, cy: y, r }), make("circle", { class: "lm-fine", cx: x, cy: y, r: r * 0.62 })];
  }
  const r = Math.max(6, (Plan.lightWide(light) / 2) * now.scale);
  return [
    make("circle", { ...lit, cx: x, cy: y, r }),
    make("path", { class: "lm-fine", d: `M${x - r * 0.5} ${y - r * 0.9}V${y - r * 1.7}H${x + r * 0.5}V${y - r * 0.9}` }),
  ];
}

/** Where a spot points, as seen on the drawing: a unit vector in (u, v), shortened when it points at the viewer. */
function aimSeen(now, light) {
  const way = aimOf(now, light), [a, b] = now.axes;
  return [(now.flip ?? 1) * way[a], way[b]];
}

function aimOf(now, light) {
  const aim = light.aim || {};
  const target = aim.at && targetPoint(now.plan, aim.at);
  if (target) {
    const from = Plan.lightCentre(now.plan, light);
    const way = target.map((value, k) => value - from[k]);
    const length = Math.hypot(...way) || 1;
    return way.map((value) => value / length);
  }
  const tilt = ((aim.tilt_deg || 0) * Math.PI) / 180, turn = ((aim.turn_deg || 0) * Math.PI) / 180;
  const [nx, ny] = Plan.inward(now.plan, light);
  return [
    Math.sin(tilt) * (nx * Math.cos(turn) - ny * Math.sin(turn)), Math.sin(tilt) * (nx * Math.sin(turn) + ny * Math.cos(turn)), -Math.cos(tilt),
  ];
}

export function targetPoint(plan, id) {
  const people = Plan.list(plan, "people");
  const reader = people.find((each) => id === `page:${each.id}`);
  if (reader) return Moves.place(plan, reader.id, { page: true });
  const looker = people.find((each) => `${id}:`.startsWith(`eye:${each.id}:`));
  if (looker) return Plan.readingEye(plan, looker);
  const bed = Plan.mattress(plan);
  return id === "mattress" && bed ? [bed.at_m[0], bed.at_m[1], bed.at_m[2] + bed.size_m[2]] : null;
}

function spot(now, light, form, lit, x, y) {
  const [du, dv] = aimSeen(now, light);
  const size = Math.max(11, 0.045 * now.scale);
  const turn = Math.atan2(-dv, du);
  const long = size * Math.max(0.5, Math.hypot(du, dv)) * 1.5;
  const corner = (a, b) => [x + a * Math.cos(turn) - b * Math.sin(turn), y + a * Math.sin(turn) + b * Math.cos(turn)];
  const body = [corner(-long * 0.7, -size * 0.5), corner(long * 0.5, -size * 0.8), corner(long * 0.5, size * 0.8), corner(-long * 0.7, size * 0.5)];
  const nodes = [make("path", { ...lit, d: path(body, true), "stroke-linejoin": "round" })];
  if (now.selection.includes(light.id)) {
    const half = form.form === "shade" ? Math.atan2(form.bottom_diameter_m / 2, Plan.shadeSizes(form).under) : (form.beam_deg * Math.PI) / 360;
    const reach = 0.45 * now.scale;
    const ray = (side) => `M${x} ${y}L${x + reach * Math.cos(turn + side)} ${y + reach * Math.sin(turn + side)}`;
    nodes.push(make("path", { class: "lm-ray", d: ray(-half) + ray(half) }));
  }
  return nodes;
}

function light(now, item) {
  const centre = Plan.lightCentre(now.plan, item);
  const [x, y] = now.at(centre), [mx, my] = now.at(item.mount_m);
  const nodes = [];
  const form = item.distribution || {};
  const tall = form.form === "shade" ? form.height_m : 0.1, wide = form.form === "shade" ? form.bottom_diameter_m : 0.1;
  nodes.push(hitBox([[x - (wide / 2) * now.scale, y - (tall / 2) * now.scale], [x + (wide / 2) * now.scale, y + (tall / 2) * now.scale], [mx, my]], 44));
  const plate = Math.max(4, 0.03 * now.scale);
  if (Math.hypot(mx - x, my - y) > 3) nodes.push(make("path", { class: "lm-arm", d: `M${mx} ${my}L${x} ${y}` }));
  if (!item.mount || item.mount === "wall" || item.mount === "headboard") {
    nodes.push(make("rect", { class: "lm-plate", x: mx - plate, y: my - plate * 1.3, width: 2 * plate, height: 2.6 * plate, rx: 3 }));
  }
  nodes.push(...lightShape(now, item, x, y));
  return { id: item.id, kind: "light", depth: centre[1], mark: [x + (wide / 2) * now.scale + 12, y - (tall / 2) * now.scale], nodes };
}

// ---- strips --------------------------------------------------------------------------------------------------------
function strip(now, item) {
  const points = item.path_m.map(now.at);
  const glow = Paint.glowOf(now, item.id);
  const selected = now.selection.includes(item.id);
  const nodes = [
    make("path", { class: "lm-hit-line", d: path(points) }),
    make("path", { class: `lm-strip${glow.level > 0 ? " is-lit" : ""}`, d: path(points), style: glow.css ? `stroke:${glow.css}` : "" }),
  ];
  if (selected) {
    points.forEach(([x, y], corner) => {
      nodes.push(
        make("g", { class: "lm-handle", "data-corner": corner }, make("circle", { class: "lm-hit", cx: x, cy: y, r: 20 }), make("circle", { cx: x, cy: y, r: 6 }))
      );
    });
  }
  const [x, y] = points[Math.floor(points.length / 2)];
  return { id: item.id, kind: "strip", depth: -60, mark: [x - 16, y - 16], nodes };
}

// ---- power ---------------------------------------------------------------------------------------------------------
function supply(now, node, spot) {
  const [x, y] = now.at(spot.at);
  const unit = Math.min(1.6, Math.max(0.75, now.scale / 210));
  const nodes = [];
  const box = (w, h, cls = "lm-supply", r = 2.5) =>
    make("rect", { class: cls, x: x - (w * unit) / 2, y: y - (h * unit) / 2, width: w * unit, height: h * unit, rx: r });
  const dot = (dx, dy, r = 1.2) => make("circle", { class: "lm-hole", cx: x + dx * unit, cy: y + dy * unit, r: r * unit });
  if (node.kind === "outlet") {
    const holes = Plan.holesOf(node);
    const w = Math.max(15, 10 * Math.min(3, holes));
    nodes.push(box(w, 17, "lm-supply is-outlet", 3));
    for (let i = 0; i < holes; i += 1) {
      const dx = (i + 0.5 - holes / 2) * (w / holes);
      nodes.push(dot(dx - 1.9, -1), dot(dx + 1.9, -1), dot(dx, 3, 1));
    }
  } else if (node.kind === "power strip" || node.kind === "extension" || node.kind === "adapter") {
    const holes = Plan.holesOf(node);
    const w = 10 + 7.5 * Math.min(8, holes);
    nodes.push(box(w, 11, "lm-supply", 4));
    for (let i = 0; i < Math.min(8, holes); i += 1) nodes.push(dot((i + 0.5 - Math.min(8, holes) / 2) * 7.2, 0, 1.7));
  } else if (node.kind === "receiver") {
    nodes.push(box(14, 17, "lm-supply", 4), make("path", { class: "lm-fine", d: waves(x, y - 2 * unit, unit) }));
  } else if (node.kind === "driver") {
    nodes.push(box(24, 12, "lm-supply", 2), make("path", { class: "lm-fine", d: `M${x - 7 * unit} ${y + 2 * unit}l${4 * unit} ${-4 * unit}l${4 * unit} ${4 * unit}l${4 * unit} ${-4 * unit}` }));
  } else {
    nodes.push(make("circle", { class: "lm-supply", cx: x, cy: y, r: 7.5 * unit }), dot(-2.3, 0, 1.2), dot(2.3, 0, 1.2));
  }
  const least = spot.written ? 34 : 24;
  return { id: node.id, kind: `supply-${node.kind}`, depth: -80, mark: [x + 14 * unit, y - 14 * unit], nodes: [hitBox([[x, y]], least), ...nodes] };
}

function waves(x, y, unit) {
  return [2.2, 4.4].map((r) => `M${x - r * unit} ${y}A${r * unit} ${r * unit} 0 0 1 ${x + r * unit} ${y}`).join("");
}

/** Cords as they hang: down from the thing, then along to what feeds it. No route is claimed. */
function cords(now, places) {
  const drawn = [];
  const hang = (from, to) => {
    const [x0, y0] = now.at(from), [x1, y1] = now.at(to);
    const low = Math.max(y0, y1) + 0.05 * now.scale;
    drawn.push(make("path", { class: "lm-cord", d: `M${x0} ${y0}C${x0} ${(y0 + 2 * low) / 3} ${x0} ${low} ${x0 + (x1 - x0) * 0.25} ${low}S${x1} ${low} ${x1} ${y1}` }));
  };
  for (const item of Plan.list(now.plan, "lights")) {
    if (places[item.fed_from]) hang(item.mount_m, places[item.fed_from].at);
  }
  for (const item of Plan.list(now.plan, "strips")) {
    const end = item.feed === "end" ? item.path_m[item.path_m.length - 1] : item.path_m[0];
    if (places[item.fed_from]) hang(end, places[item.fed_from].at);
  }
  for (const node of Plan.list(now.plan, "supply")) {
    if (places[node.id] && places[node.id].written && places[node.fed_from]) hang(places[node.id].at, places[node.fed_from].at);
  }
  return drawn;
}

// ---- the whole -----------------------------------------------------------------------------------------------------
function openings(now) {
  const wall = Plan.bedWall(now.plan);
  const [a, b] = Plan.wallEnds(now.plan, wall);
  const way = Math.sign(b[0] - a[0]) || 1;
  return (now.plan.room.openings || []).filter((each) => each.wall === wall).map((each) => {
    const u0 = a[0] + way * each.from_m, u1 = a[0] + way * each.to_m;
    const { sill_m: low, head_m: high } = { ...usual.opening, ...each };
    const corners = [[u0, low], [u1, low], [u1, high], [u0, high]].map(([u, v]) => now.px(u, v));
    return make("path", { class: `lm-opening is-${each.kind}`, d: path(corners, true) }, make("title", {}, each.id));
  });
}

/** A ceiling that comes down to the bed wall: above the wall one looks at its slope. */
function slopes(now) {
  const plan = now.plan;
  const top = Plan.wallTop(plan);
  const room = Plan.extent(plan);
  const lowest = Math.min(...top.map(([, z]) => z));
  if (room.z1 - lowest < 0.15) return [];
  const [left, right] = [top[0][0], top[top.length - 1][0]];
  const face = [...top, [right, room.z1], [left, room.z1]].map(([u, v]) => now.px(u, v));
  const [x, y] = now.px((left + right) / 2, (room.z1 + Math.max(...top.map(([, z]) => z))) / 2);
  const words = Math.max(...top.map(([, z]) => z)) < room.z1 - 0.15;
  return [
    make("path", { class: "lm-slope", d: path(face, true) }),
    words ? make("text", { class: "lm-hint", x, y }, "sloping ceiling, toward you") : null,
  ].filter(Boolean);
}

function scene(now) {
  const plan = now.plan;
  const places = Plan.supplyPlaces(plan);
  const corners = outline(plan).map(([u, v]) => now.px(u, v));
  const centre = Plan.bedCentre(plan);
  const [cx, top] = now.px(centre, Plan.ceilingHeight(plan, centre, Plan.extent(plan).y1));
  const [left, floor] = now.px(extent(plan).u0, 0), [right] = now.px(extent(plan).u1, 0);
  const things = Stage.things(now, places, { furniture, lights: light, people: person, strips: strip, supply }).filter(Boolean);
  things.sort((p, q) => q.depth - p.depth);
  return {
    back: [
      ...slopes(now),
      make("path", { class: "lm-room", d: path(corners, true) }),
      make("path", { class: "lm-floor", d: `M${left - 12} ${floor}H${right + 12}` }),
      ...openings(now),
    ],
    things,
    front: [
      ...cords(now, places),
      make("path", { class: "lm-centre", d: `M${cx} ${top + 8}V${floor}` }),
      make("text", { class: "lm-hint", x: cx, y: floor + 14 }, "bed centre line"),
    ],
  };
}

export const look = { kind: "wall", axes: AXES, title: "The bed wall, drawn to scale. Tab walks from thing to thing, arrow keys move it, Enter takes it in the hand, Enter again goes to its numbers.", extent, surfaces, scene };

export const mount = (element, opts) => Stage.create(element, opts, look);
