/* side: the head of the bed from the side, along the headboard: how far everything stands off the bed wall.
 *
 *   mount(element, opts) -> view (see stage.js for opts and the view)
 *   look                    what the stage draws with
 *   facts(plan, near)       -> [{id, at: [x, y, z], number, words}, ...]: what is worth reading off, pure; number is in metres or degrees
 *
 * The wall stands at the left and one looks along it, over the side of the bed that is near: the left one, or that of the thing
 * in the hand. What stands on the other side is dashed. What is read off stands in a column, a thin line leads to its place.
 */
import * as Moves from "./moves.js";
import * as Plan from "./plan.js";
import * as Stage from "./stage.js";
import { hull, make, path } from "./svg.js";
import * as Units from "./units.js";
import { usual } from "./usual.js";
import * as Wall from "./wall.js";

const AXES = [1, 2];
const WALL_M = 0.07; // as thick as the wall is drawn
const BESIDE_M = 0.25; // nearer to the bed's centre line than this a thing is on both sides
const ELSEWHERE_M = 0.9; // so far beside the bed a thing does not belong to its head
const OVER_M = 0.25; // is shown above the highest thing
const LEAST_COLUMN_PX = 118, MOST_COLUMN_PX = 270;
const LINE_PX = 19, LETTER_PX = 7.3;
const LEAST_LETTERS = 9; // with less room the column is left out

const depthOf = (plan, point) => Plan.wallY(plan) - point[1];

/** From behind the wall to the foot of the bed and the column beside it; up to a little over what stands highest there. */
function extent(plan, [wide, high] = [900, 500]) {
  const wall = Plan.wallY(plan), room = Plan.extent(plan), bed = Plan.mattress(plan);
  const foot = bed ? depthOf(plan, [0, bed.at_m[1] - bed.size_m[1] / 2]) + 0.15 : 0;
  const reach = Math.min(wall - room.y0, Math.max(1.6, foot));
  const v0 = -0.1, v1 = Math.min(room.z1, Math.max(1.5, highest(plan, reach) + OVER_M));
  const column_px = Math.min(MOST_COLUMN_PX, Math.max(LEAST_COLUMN_PX, 0.3 * wide));
  const scale = Math.min((wide - column_px) / (reach + WALL_M), high / (v1 - v0));
  return { u0: wall - reach - column_px / scale, u1: wall + WALL_M, v0, v1, end: wall - reach };
}

/** The upper edge of the highest thing at the head of the bed; a head rises over its eyes, a shade over its lamp. */
function highest(plan, reach) {
  const heads = Plan.list(plan, "people").map((someone) => Plan.readingEye(plan, someone) || [0, 0, 0]);
  const lamps = Plan.list(plan, "lights").map((light) => Plan.lightCentre(plan, light)).filter((at) => depthOf(plan, at) < reach);
  const boxes = Plan.list(plan, "furniture").filter((item) => !isElsewhere(plan, item.at_m[0], item.size_m[0] / 2)).flatMap(Plan.boxCorners);
  return Math.max(...[...heads, ...lamps, ...boxes].map(([, , z]) => z), 0) + 0.12;
}

/** On which side of the bed's centre line: -1, 0 for both, 1. */
function sideOf(plan, x) {
  const off = x - Plan.bedCentre(plan);
  return Math.abs(off) < BESIDE_M ? 0 : Math.sign(off);
}

const middleX = (plan, id) => (Moves.place(plan, id) || [Plan.bedCentre(plan)])[0];

/** The near side: that of the thing in the hand, else the left one. */
export function nearSide(plan, selection) {
  const sides = selection.map((id) => sideOf(plan, middleX(plan, id))).filter(Boolean);
  return sides[0] || -1;
}

function isElsewhere(plan, x, half = 0) {
  const bed = Plan.mattress(plan);
  return Math.abs(x - Plan.bedCentre(plan)) - half > (bed ? bed.size_m[0] / 2 : 0.8) + ELSEWHERE_M;
}

// ---- what is read off ------------------------------------------------------------------------------------------------
/** A board's back edge at its top and at its foot: [depth, height] each [m]. */
export function backEdges(plan, item) {
  const solid = Plan.box(item);
  const [, half, tall] = solid.half;
  return [tall, -tall].map((c) => Plan.boxPoint(solid, 0, half, c)).map((point) => ({ point, off_m: depthOf(plan, point) }));
}

/** How much room furniture leaves straight in front of a place on the bed wall [m]; infinite where none stands there. */
export function roomAt(plan, [x, , z]) {
  const found = Plan.list(plan, "furniture").flatMap((item) => {
    const corners = Plan.boxCorners(item);
    const xs = corners.map((corner) => corner[0]);
    if (x < Math.min(...xs) || x > Math.max(...xs)) return [];
    const rim = hull(corners.map((corner) => [depthOf(plan, corner), corner[2]]));
    const offs = rim.flatMap(([a, h], i) => {
      const [b, k] = rim[(i + 1) % rim.length];
      if (Math.min(h, k) > z || Math.max(h, k) < z) return [];
      return h === k ? [a, b] : [a + ((z - h) / (k - h)) * (b - a)];
    });
    return offs.length ? [Math.max(0, Math.min(...offs))] : [];
  });
  return Math.min(Infinity, ...found);
}

export function facts(plan, near = -1) {
  const found = [];
  const tell = (id, at, number, words, unit = "m") => found.push({ id, at, number, words, unit });
  for (const item of Plan.list(plan, "furniture")) {
    if (item.kind !== "headboard") continue;
    const [top, foot] = backEdges(plan, item);
    if (item.lean_deg) tell(item.id, top.point, item.lean_deg, `${Plan.name(item)} leans back`, "deg");
    if (item.lean_deg && Math.abs(top.off_m - foot.off_m) > 0.002) {
      tell(item.id, top.point, top.off_m, `gap at the top of ${Plan.name(item)}`);
      tell(item.id, foot.point, foot.off_m, `gap at the foot of ${Plan.name(item)}`);
    } else tell(item.id, top.point, top.off_m, `gap behind ${Plan.name(item)}`);
  }
  for (const strip of Plan.list(plan, "strips")) {
    const nearest = strip.path_m.reduce((best, point) => (depthOf(plan, point) < depthOf(plan, best) ? point : best));
    if (depthOf(plan, nearest) < 0.5) tell(strip.id, nearest, depthOf(plan, nearest), `${Plan.name(strip)} off the wall`);
  }
  for (const light of Plan.list(plan, "lights")) {
    const centre = Plan.lightCentre(plan, light);
    if (light.mount === "ceiling" || light.mount === "stand" || sideOf(plan, centre[0]) === -near) continue;
    if (!isElsewhere(plan, centre[0])) tell(light.id, centre, depthOf(plan, centre), `${Plan.name(light)} off the wall`);
  }
  for (const { node, at, deep_m } of plugs(plan)) {
    const room = roomAt(plan, at);
    if (room < 0.3) tell(node.id, [at[0], at[1] - deep_m, at[2]], room, room < deep_m ? "for a plug: too little" : "for a plug");
  }
  for (const someone of Plan.list(plan, "people")) {
    const eye = someone.reads === false ? Plan.lyingEye(plan, someone) : Plan.readingEye(plan, someone);
    if (!eye || sideOf(plan, eye[0]) === -near) continue;
    tell(someone.id, eye, depthOf(plan, eye), "eyes off the wall");
    if (someone.reads !== false) tell(someone.id, Moves.place(plan, someone.id, { page: true }), Plan.middle(Plan.pageOf(someone).distance_m), "eyes to page");
  }
  return found;
}

/** Outlets on the bed wall with something in them, and how deep their plugs stand out. */
function plugs(plan) {
  const nodes = Plan.list(plan, "supply");
  const feeds = new Set([...nodes, ...Plan.list(plan, "lights"), ...Plan.list(plan, "strips")].map((item) => item.fed_from));
  return nodes
    .filter((node) => node.kind === "outlet" && node.at_m && feeds.has(node.id) && Math.abs(depthOf(plan, node.at_m)) < 0.08)
    .map((node) => ({ node, at: node.at_m, deep_m: usual.plug.depth_m }));
}

// ---- things ----------------------------------------------------------------------------------------------------------
const classes = (now, base, x, half = 0) =>
  `${base}${isElsewhere(now.plan, x, half) || sideOf(now.plan, x) === -now.near ? " is-far" : ""}`;

function furniture(now, item) {
  const corners = hull(Plan.boxCorners(item).map(now.at));
  const side = sideOf(now.plan, item.at_m[0]);
  const nodes = [make("path", { class: classes(now, "lm-box", item.at_m[0], item.size_m[0] / 2), d: path(corners, true) })];
  const xs = corners.map((p) => p[0]), ys = corners.map((p) => p[1]);
  if (item.kind === "headboard" && now.selection.includes(item.id)) nodes.push(...leanHandles(now, item));
  return { id: item.id, kind: "furniture", depth: order(now, now.selection.includes(item.id) ? "held" : "furniture", side, item.kind === "headboard" ? -1 : 0), mark: [Math.max(...xs) - 10, Math.min(...ys) + 12], nodes };
}

/** A board's upper and lower front edge can be drawn away from or toward the wall: it leans. */
function leanHandles(now, item) {
  return ["top", "foot"].map((end) => {
    const [x, y] = now.at(Moves.place(now.plan, item.id, { lean: end }));
    return make("g", { class: "lm-handle", "data-lean": end }, make("circle", { class: "lm-hit", cx: x, cy: y, r: 18 }), make("circle", { cx: x, cy: y, r: 6 }));
  });
}

// Small things lie over large ones, so that none is hidden; of each kind the far ones first, then the bed's, then the near ones.
const LAYERS = { furniture: 0, held: 20, person: 40, supply: 60, light: 80, strip: 100 };
const order = (now, layer, side, more = 0) => LAYERS[layer] + 5 * side * now.near + more;

function person(now, someone) {
  const reads = someone.reads !== false;
  const eye = reads ? Plan.readingEye(now.plan, someone) : Plan.lyingEye(now.plan, someone);
  const bed = Plan.bedOf(now.plan, someone);
  if (!eye || !bed) return null;
  const far = sideOf(now.plan, eye[0]) === -now.near;
  const [x, y] = now.at(eye);
  const r = 0.095 * now.scale;
  const top = bed.at_m[2] + bed.size_m[2];
  const spot = (away, up) => now.px(eye[1] - away, up);
  const body = reads
    ? [spot(-0.05, eye[2] - 0.16), spot(0.2, top + 0.1), spot(0.65, top + 0.13), spot(1.1, top + 0.08)]
    : [spot(0.2, top + 0.1), spot(1.45, top + 0.08)];
  const nodes = [
    Wall.hitBox([[x - r, y - r], [x + r, y + r]], 44),
    make("path", { class: "lm-side-body", d: path(body), style: `stroke-width:${(0.17 * now.scale).toFixed(1)}` }),
    make("circle", { class: "lm-person is-head", cx: x - 0.055 * now.scale, cy: y - 0.01 * now.scale, r }),
    make("circle", { class: "lm-eye", cx: x, cy: y, r: 2.4 }),
  ];
  if (reads) {
    const page = (Plan.pageCorners(now.plan, someone) || []).map(now.at);
    const at = Moves.place(now.plan, someone.id, { page: true });
    const [px, py] = now.at(at);
    nodes.push(make("path", { class: "lm-side-look", d: `M${x} ${y}L${px} ${py}` }));
    nodes.push(make("g", { class: "lm-page", "data-page": "" }, make("path", { d: path(hull(page), true) }), Wall.hitBox(page, 32)));
  }
  const kind = far ? "person is-other-side" : "person";
  return { id: someone.id, kind, depth: order(now, "person", sideOf(now.plan, eye[0])), mark: [x + r, y - r], nodes };
}

function light(now, item) {
  const centre = Plan.lightCentre(now.plan, item);
  const [x, y] = now.at(centre), [mx, my] = now.at(item.mount_m);
  const form = item.distribution || {};
  const tall = form.form === "shade" ? form.height_m : 0.1, wide = form.form === "shade" ? form.bottom_diameter_m : 0.1;
  const half = (wide / 2) * now.scale, rise = (tall / 2) * now.scale;
  const nodes = [Wall.hitBox([[x - half, y - rise], [x + half, y + rise], [mx, my]], 44)];
  if (Math.hypot(mx - x, my - y) > 3) nodes.push(make("path", { class: "lm-arm", d: `M${mx} ${my}L${x} ${y}` }));
  if (!item.mount || item.mount === "wall" || item.mount === "headboard") {
    nodes.push(make("rect", { class: "lm-plate", x: mx, y: my - 0.04 * now.scale, width: Math.max(3, 0.02 * now.scale), height: 0.08 * now.scale, rx: 1.5 }));
  }
  if (now.levels?.[item.id] > 0) nodes.push(...[0.3, 0.17].map((r) => make("circle", { class: "lm-side-glow", cx: x, cy: y, r: r * now.scale })));
  nodes.push(...Wall.lightShape(now, item, x, y));
  const side = sideOf(now.plan, centre[0]);
  const kind = side === -now.near || isElsewhere(now.plan, centre[0]) ? "light is-other-side" : "light";
  return { id: item.id, kind, depth: order(now, "light", side), mark: [x + half + 10, y - rise], nodes };
}

function strip(now, item) {
  const points = item.path_m.map(now.at);
  const selected = now.selection.includes(item.id);
  const lit = now.levels?.[item.id] > 0 ? " is-lit" : "";
  const nodes = [make("path", { class: "lm-hit-line", d: path(points) }), make("path", { class: `lm-strip${lit}`, d: path(points) })];
  points.forEach(([x, y], corner) => {
    if (points.slice(0, corner).some(([a, b]) => Math.hypot(a - x, b - y) < 6)) return; // another corner lies there, seen along it
    nodes.push(make("circle", { class: `lm-side-strip${lit}`, cx: x, cy: y, r: Math.max(2.5, 0.009 * now.scale) }));
    if (selected) nodes.push(make("g", { class: "lm-handle", "data-corner": corner }, make("circle", { class: "lm-hit", cx: x, cy: y, r: 18 }), make("circle", { cx: x, cy: y, r: 6 })));
  });
  const [x, y] = points[Math.floor(points.length / 2)];
  return { id: item.id, kind: "strip", depth: order(now, "strip", 0), mark: [x + 16, y - 16], nodes };
}

function supply(now, node, spot) {
  const [x, y] = now.at(spot.at);
  const nodes = [Wall.hitBox([[x, y]], 28)];
  const scale = now.scale;
  if (node.kind === "outlet" && Math.abs(depthOf(now.plan, spot.at)) < 0.08) {
    const plug = plugs(now.plan).find((each) => each.node.id === node.id);
    if (plug) nodes.push(make("rect", { class: "lm-supply lm-side-plug", x, y: y - 0.02 * scale, width: plug.deep_m * scale, height: 0.04 * scale, rx: 2 }));
    nodes.push(make("rect", { class: "lm-supply is-outlet", x, y: y - 0.04 * scale, width: Math.max(3, 0.012 * scale), height: 0.08 * scale, rx: 1 }));
  } else {
    const [wide, , tall] = node.size_m || [0.06, 0.04, 0.045];
    const deep = node.size_m ? node.size_m[1] : wide;
    nodes.push(make("rect", { class: "lm-supply", x: x - (deep / 2) * scale, y: y - (tall / 2) * scale, width: deep * scale, height: tall * scale, rx: 2 }));
  }
  const side = sideOf(now.plan, spot.at[0]);
  const kind = `supply-${node.kind}${side === -now.near ? " is-other-side" : ""}`;
  return { id: node.id, kind, depth: order(now, "supply", side), mark: [x + 14, y + 14], nodes };
}

// ---- the column ------------------------------------------------------------------------------------------------------
/** Rows at their wished heights, moved apart so that none lies on another, within [low, high]. */
export function spread(wished, gap, low, high) {
  const rows = wished.map((y, i) => ({ i, y })).sort((p, q) => p.y - q.y);
  let least = low;
  for (const row of rows) {
    row.y = Math.max(row.y, least);
    least = row.y + gap;
  }
  let most = high;
  for (const row of [...rows].reverse()) {
    row.y = Math.min(row.y, most);
    most = row.y - gap;
  }
  const placed = [];
  for (const row of rows) placed[row.i] = row.y;
  return placed;
}

const print = (fact, system) => (fact.unit === "deg" ? `${Math.round(fact.number * 10) / 10}°` : Units.print(fact.number, system));

function column(now, low, high) {
  const told = facts(now.plan, now.near);
  const left = now.px(now.box.end, 0)[0] + 16;
  const letters = Math.floor((now.width - left - 8) / LETTER_PX);
  if (letters < LEAST_LETTERS || !told.length || now.zoomed) return [];
  const most = Math.floor((high - low) / LINE_PX) + 1;
  const shown = told.slice(0, most);
  const ys = spread(shown.map((fact) => now.at(fact.at)[1]), LINE_PX, low, high);
  return shown.map((fact, i) => {
    const [x, y] = now.at(fact.at);
    const whole = `${print(fact, now.units)} ${fact.words}`;
    const text = whole.length > letters ? `${whole.slice(0, letters - 1)}…` : whole;
    return make(
      "g", { class: `lm-side-fact${now.selection.includes(fact.id) ? " is-selected" : ""}` },
      make("title", {}, whole),
      make("path", { d: `M${x} ${y}L${left - 8} ${ys[i]}` }),
      make("circle", { cx: x, cy: y, r: 1.8 }),
      make("text", { x: left, y: ys[i], dy: "0.35em" }, text)
    );
  });
}

// ---- the lens --------------------------------------------------------------------------------------------------------
const LENS_TIMES = 4, LENS_PX = [150, 190], LENS_FROM_PX = 640;

/** Where it is narrow: a plug with little room, else the strip, else the board's upper edge. */
function narrowest(plan) {
  const plug = plugs(plan).find(({ at }) => roomAt(plan, at) < 0.12);
  if (plug) return plug.at;
  const strip = Plan.list(plan, "strips").flatMap((item) => item.path_m).find((point) => Math.abs(depthOf(plan, point)) < 0.15);
  if (strip) return strip;
  const board = Plan.list(plan, "furniture").find((item) => item.kind === "headboard");
  return board ? backEdges(plan, board)[0].point : null;
}

/** What lies behind the board, some times larger, in the corner of a drawing that has room for it. */
function lens(now) {
  const spot = now.width >= LENS_FROM_PX && !now.zoomed ? narrowest(now.plan) : null;
  if (!spot) return null;
  const [wide, high] = LENS_PX, scale = LENS_TIMES * now.scale, wall = Plan.wallY(now.plan);
  const left = now.width - wide - 16, top = now.height - high - 40;
  const px = (u, v) => [left + 14 + (wall - u) * scale, top + high / 2 - (v - spot[2]) * scale];
  const large = { ...now, px, at: (point) => px(point[1], point[2]), scale, selection: [] };
  const places = Plan.supplyPlaces(now.plan);
  const inside = [
    ...Plan.list(now.plan, "furniture").filter((item) => sideOf(now.plan, item.at_m[0]) === 0).map((item) => furniture(large, item)),
    ...Plan.list(now.plan, "strips").map((item) => strip(large, item)),
    ...Plan.list(now.plan, "supply").filter((node) => node.kind === "outlet" && places[node.id]).map((node) => supply(large, node, places[node.id])),
  ].sort((p, q) => p.depth - q.depth);
  const frame = { x: left, y: top, width: wide, height: high, rx: 10 };
  const [x, y] = now.at([0, wall, spot[2]]);
  const small = { x: x - 14 / LENS_TIMES, y: y - high / LENS_TIMES / 2, width: wide / LENS_TIMES, height: high / LENS_TIMES, rx: 3 };
  return make(
    "g", { class: "lm-side-lens", "aria-hidden": "true" },
    make("clipPath", { id: "lm-side-lens" }, make("rect", frame)),
    make("rect", { class: "lm-side-glass", ...frame }),
    make(
      "g", { "clip-path": "url(#lm-side-lens)" },
      make("rect", { class: "lm-side-wall", x: left, y: top, width: 14, height: high }),
      ...inside.map((thing) => make("g", { class: `is-${thing.kind}` }, ...thing.nodes))
    ),
    make("rect", { class: "lm-side-rim", ...frame }),
    make("rect", { class: "lm-side-rim is-small", ...small }),
    make("text", { class: "lm-hint", x: left + wide / 2, y: top + high + 15 }, `at the wall, ${LENS_TIMES} times larger`)
  );
}

// ---- the whole -------------------------------------------------------------------------------------------------------
function ceiling(now) {
  const { end: u0, u1 } = now.box;
  const x = Plan.bedCentre(now.plan), wall = Plan.wallY(now.plan);
  const steps = (now.plan.room.slopes || []).length ? 48 : 1;
  return Array.from({ length: steps + 1 }, (_, i) => {
    const y = Math.min(wall, u1) + (i / steps) * (u0 - Math.min(wall, u1));
    return now.px(y, Plan.ceilingHeight(now.plan, x, y));
  });
}

function scene(view) {
  const plan = view.plan;
  const now = { ...view, near: nearSide(plan, view.selection) };
  const wall = Plan.wallY(plan), places = Plan.supplyPlaces(plan);
  const [x0, floor] = now.px(wall + WALL_M, 0), [x1] = now.px(now.box.end, 0), [wx] = now.px(wall, 0);
  const top = ceiling(now);
  const shown = (node) => places[node.id] && (places[node.id].written || node.inside);
  const things = Stage.things(now, places, { furniture, people: person, lights: light, strips: strip, supply }, shown).flatMap((thing) => thing ?? []);
  for (const thing of things) if (now.selection.includes(thing.id) && thing.kind !== "furniture") thing.depth += 200; // in the hand, on top
  things.sort((p, q) => p.depth - q.depth);
  const glass = lens(now);
  const high = Math.min(now.height - 26 - (glass ? LENS_PX[1] + 34 : 0), floor - 4); // over the hint under the floor
  const side = now.near < 0 ? "left" : "right";
  const words = now.width < LENS_FROM_PX ? `bed wall, from the ${side}` : `bed wall; seen from the ${side} side of the bed`;
  return {
    back: [
      make("path", { class: "lm-side-wall", d: path([[x0, floor], [wx, floor], top[0], [x0, top[0][1]]], true) }),
      make("path", { class: "lm-room", d: path(top) }),
      make("path", { class: "lm-floor", d: `M${x0} ${floor}H${x1}` }),
    ],
    things,
    front: [...column(now, 62, high), ...(glass ? [glass] : []), make("text", { class: "lm-hint lm-side-hint", x: wx + 4, y: floor + 14 }, words)],
  };
}

export const look = {
  kind: "side", axes: AXES, flip: -1, noLight: true,
  title: "The head of the bed from the side, the bed wall at the left. Tab walks from thing to thing, arrow keys move it, Enter takes it in the hand, Enter again goes to its numbers.",
  extent, surfaces: () => [], scene,
};

export const mount = (element, opts) => Stage.create(element, opts, look);
