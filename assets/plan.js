/* plan: what the drawings need to know of a written plan, pure. Frame: x right, y toward the bed wall, z up [m].
 *
 *   middle(amount)                 number or [low, high] -> number
 *   bedWall(plan)                  -> wall number                wallNormal(plan, wall) -> [nx, ny] into the room
 *   extent(plan)                   -> {x0, x1, y0, y1, z1}        wallTop(plan) -> [[x, z], ...] upper edge of the bed wall
 *   ceilingHeight(plan, x, y)      -> m
 *   mattress(plan), bedCentre(plan) -> the first mattress, the x of its middle (or of the room's)
 *   bedOf(plan, person) -> the mattress that person lies on
 *   wallY(plan)                    -> y of the bed wall where the bed stands [m]
 *   lrvOf(item)                    light reflectance value of a piece of furniture, 0 to 100
 *   shadeSizes(form)               -> {low, high, height, under}: radii below and above, height, lamp above lower edge [m]
 *   lightWide(light)               -> how wide it looks [m]
 *   boxCorners(item)               -> 8 points of a furniture box, turned and leaning
 *   lightCentre(plan, light), readingEye / lyingEye(plan, person), pageCorners(plan, person) -> points or null
 *   supplyPlaces(plan)             -> {id: {at: [x,y,z], written: bool}} for every node but circuits
 *   find(plan, id)                 -> {section, index, item} or null      name(item) -> words for it
 *   twin(plan, id)                 -> the item of the same section that mirrors it by name, or null
 *   apply(plan, command)           -> a plan with a move / set / level done, for drawing while a hand moves (the server decides)
 */
import { usual } from "./usual.js";

export const SECTIONS = ["furniture", "people", "lights", "strips", "supply"];
export const PLACE = { furniture: "at_m", lights: "mount_m", supply: "at_m" };

export const middle = (amount) => (Array.isArray(amount) ? (amount[0] + amount[1]) / 2 : amount);
export const list = (plan, section) => plan[section] || [];

export function wallEnds(plan, wall) {
  const corners = plan.room.outline_m;
  return [corners[wall], corners[(wall + 1) % corners.length]];
}

export function wallNormal(plan, wall) {
  const [[x0, y0], [x1, y1]] = wallEnds(plan, wall);
  const length = Math.hypot(x1 - x0, y1 - y0) || 1;
  return [-(y1 - y0) / length, (x1 - x0) / length];
}

export function bedWall(plan) {
  if (Number.isInteger(plan.room.bed_wall)) return plan.room.bed_wall;
  let best = 0;
  /** @type {number[] | null} */
  let rank = null;
  plan.room.outline_m.forEach((_, wall) => {
    const [[x0, y0], [x1, y1]] = wallEnds(plan, wall);
    const mine = [Math.round(-wallNormal(plan, wall)[1] * 1e3), Math.round((y0 + y1) * 500), Math.hypot(x1 - x0, y1 - y0)];
    const first = rank ? mine.findIndex((value, i) => value !== /** @type {number[]} */ (rank)[i]) : 0;
    const beats = rank === null || (first >= 0 && mine[first] > rank[first]);
    if (beats) [best, rank] = [wall, mine];
  });
  return best;
}

export function extent(plan) {
  const xs = plan.room.outline_m.map((corner) => corner[0]);
  const ys = plan.room.outline_m.map((corner) => corner[1]);
  return { x0: Math.min(...xs), x1: Math.max(...xs), y0: Math.min(...ys), y1: Math.max(...ys), z1: plan.room.height_m };
}

export function ceilingHeight(plan, x, y) {
  let height = plan.room.height_m;
  for (const slope of plan.room.slopes || []) {
    const [nx, ny] = wallNormal(plan, slope.wall);
    const [x0, y0] = plan.room.outline_m[slope.wall];
    const off = nx * (x - x0) + ny * (y - y0);
    height = Math.min(height, slope.knee_height_m + off * Math.tan((slope.pitch_deg * Math.PI) / 180));
  }
  return height;
}

export function wallTop(plan) {
  const [a, b] = wallEnds(plan, bedWall(plan));
  const [left, right] = a[0] <= b[0] ? [a, b] : [b, a];
  const steps = (plan.room.slopes || []).length ? 96 : 1;
  return Array.from({ length: steps + 1 }, (_, i) => {
    const share = i / steps;
    const x = left[0] + share * (right[0] - left[0]), y = left[1] + share * (right[1] - left[1]);
    return [x, Math.max(0, ceilingHeight(plan, x, y))];
  });
}

/** Where the bed wall stands, at the bed's centre line. */
export function wallY(plan) {
  const [[x0, y0], [x1, y1]] = wallEnds(plan, bedWall(plan));
  const x = bedCentre(plan);
  const share = Math.abs(x1 - x0) < 1e-9 ? 0 : Math.min(1, Math.max(0, (x - x0) / (x1 - x0)));
  return y0 + share * (y1 - y0);
}

export const mattress = (plan) => list(plan, "furniture").find((item) => item.kind === "mattress") || null;

/** The mattress a person lies on: the one they name, else the first. */
export const bedOf = (plan, person) => list(plan, "furniture").find((item) => person.bed && item.id === person.bed) || mattress(plan);

export function bedCentre(plan) {
  const bed = mattress(plan);
  const { x0, x1 } = extent(plan);
  return bed ? bed.at_m[0] : (x0 + x1) / 2;
}

/** A box's centre, half sizes and axes (right, back, up), as the light engine has them. */
export function box(item) {
  const turn = ((item.turn_deg || 0) * Math.PI) / 180, lean = ((item.lean_deg || 0) * Math.PI) / 180;
  const [width, depth, height] = item.size_m;
  const right = [Math.cos(turn), Math.sin(turn), 0];
  const level = [-Math.sin(turn), Math.cos(turn), 0];
  const up = [Math.sin(lean) * level[0], Math.sin(lean) * level[1], Math.cos(lean)];
  const back = [Math.cos(lean) * level[0], Math.cos(lean) * level[1], -Math.sin(lean)];
  const toPivot = item.lean_deg < 0 ? -depth / 2 : depth / 2; // it stands on the edge it leans toward
  const centre = [0, 1, 2].map(
    (k) => item.at_m[k] + level[k] * toPivot + (up[k] * height) / 2 - back[k] * toPivot
  );
  return { centre, half: [width / 2, depth / 2, height / 2], axes: [right, back, up] };
}

export function boxPoint({ centre, axes }, a, b, c) {
  return [0, 1, 2].map((k) => centre[k] + a * axes[0][k] + b * axes[1][k] + c * axes[2][k]);
}

export function boxCorners(item) {
  const solid = box(item);
  const [w, d, h] = solid.half;
  const signs = [[-1, -1, -1], [1, -1, -1], [1, 1, -1], [-1, 1, -1], [-1, -1, 1], [1, -1, 1], [1, 1, 1], [-1, 1, 1]];
  return signs.map(([i, j, k]) => boxPoint(solid, i * w, j * d, k * h));
}

/** A written finish without a value is a finish of which no card was read; without any finish it is usual furniture. */
export const lrvOf = (item) => middle(item.finish ? item.finish.lrv ?? usual.finish.lrv : usual.furniture.finish.lrv);

export const holesOf = (node) => node.holes ?? usual[node.kind]?.holes ?? 1;

export function shadeSizes(form) {
  const { shape, top_share, lamp_share } = usual.shade;
  const top = form.top_diameter_m ?? form.bottom_diameter_m * top_share[form.shape ?? shape];
  return { low: form.bottom_diameter_m / 2, high: top / 2, height: form.height_m, under: form.lamp_height_m ?? form.height_m * lamp_share };
}

/** A shade's lower edge, a size that was written, or else the bulb. */
export function lightWide(light) {
  const form = light.distribution || {};
  if (form.form === "shade") return form.bottom_diameter_m;
  return light.size_m ?? light.lamp?.diameter_m ?? usual.lamp.diameter_m;
}

export function inward(plan, item) {
  return wallNormal(plan, Number.isInteger(item.wall) ? item.wall : bedWall(plan));
}

/** @returns {[number, number, number]} */
export function lightCentre(plan, light) {
  const off = light.projection_m ?? usual.light.projection_m, drop = light.drop_m ?? usual.light.drop_m;
  const [x, y, z] = light.mount_m;
  if (light.mount === "ceiling") return [x, y, z - off - drop];
  if (light.mount === "stand") return [x, y, z + off - drop];
  const [nx, ny] = inward(plan, light);
  return [x + off * nx, y + off * ny, z - drop];
}

export function personRight(bed, person) {
  if (typeof person.from_centre_m === "number") return person.from_centre_m;
  return { left: -0.25, middle: 0, right: 0.25 }[person.side] * bed.size_m[0];
}

function bedPoint(bed, right, fromHead, up) {
  const solid = box(bed);
  return boxPoint(solid, right, solid.half[1] - fromHead, solid.half[2] + up);
}

const seenFrom = (person, field) => middle(person[field] ?? usual.person[field]);

export function readingEye(plan, person) {
  const bed = bedOf(plan, person);
  if (!bed) return null;
  return bedPoint(bed, personRight(bed, person), seenFrom(person, "eye_from_head_end_m"), seenFrom(person, "eye_above_mattress_m"));
}

export function lyingEye(plan, person) {
  const bed = bedOf(plan, person);
  if (!bed) return null;
  return bedPoint(
    bed, personRight(bed, person), seenFrom(person, "lying_eye_from_head_end_m"), seenFrom(person, "lying_eye_above_mattress_m")
  );
}

/** The page a person holds: as written, else of the usual size of what they read from. */
export const pageOf = (person) => ({ ...usual.page, ...usual["reads from"][person.reads_from ?? "paper"], ...(person.page || {}) });

export function pageCorners(plan, person) {
  const eye = readingEye(plan, person);
  if (!eye) return null;
  const page = pageOf(person);
  const [right, head, up] = box(bedOf(plan, person)).axes;
  const down = (page.gaze_down_deg * Math.PI) / 180;
  const distance = middle(page.distance_m);
  const centre = eye.map((value, k) => value - distance * (Math.cos(down) * head[k] + Math.sin(down) * up[k]));
  const top = up.map((value, k) => Math.cos(down) * value - Math.sin(down) * head[k]);
  return [[-1, -1], [1, -1], [1, 1], [-1, 1]].map(([i, j]) =>
    centre.map((value, k) => value + (i * page.width_m * right[k]) / 2 + (j * page.height_m * top[k]) / 2)
  );
}

/** About how wide a node of the supply is drawn [m], so that a row of them does not lie on itself. */
function drawnWide(node) {
  if (!node) return 0.1;
  if (node.kind === "power strip" || node.kind === "adapter") return (10 + 7.5 * Math.min(8, holesOf(node))) / 210;
  return { outlet: 0.11, driver: 0.12, extension: 0.09 }[node.kind] || 0.08;
}

export function supplyPlaces(plan) {
  const places = {};
  const rooms = Object.fromEntries(list(plan, "furniture").map((item) => [item.id, item]));
  const nodes = list(plan, "supply").filter((node) => node.kind !== "circuit");
  for (const node of nodes) if (node.at_m) places[node.id] = { at: node.at_m, written: true };
  const loose = nodes.filter((node) => !node.at_m);
  const perHost = {};
  const filled = {}; // how far a row beside a thing reaches [m]
  const { x0, x1 } = extent(plan);
  const host = (node) => (node.inside && rooms[node.inside] ? `in ${node.inside}` : `by ${node.fed_from}`);
  for (const node of loose) perHost[host(node)] = [...(perHost[host(node)] || []), node];
  // Fed ones stand beside what feeds them; go round until nothing new finds its place.
  for (let round = 0; round < 8; round += 1) {
    for (const row of Object.values(perHost)) {
      row.forEach((node, i) => {
        if (places[node.id]) return;
        const item = node.inside && rooms[node.inside];
        if (item) {
          const share = (i + 0.5) / row.length - 0.5;
          const columns = Math.max(1, row.length);
          places[node.id] = {
            at: [
              item.at_m[0] + share * item.size_m[0] * 0.86,
              item.at_m[1],
              item.at_m[2] + item.size_m[2] * (columns > 3 && i % 2 ? 0.72 : 0.5),
            ],
            written: false,
          };
        } else if (places[node.fed_from]) {
          const [x, y, z] = places[node.fed_from].at;
          const feeder = nodes.find((each) => each.id === node.fed_from);
          const key = host(node);
          const half = drawnWide(node) / 2;
          const off = (filled[key] ?? drawnWide(feeder) / 2) + half + 0.015;
          filled[key] = off + half;
          // A row runs to the right, and to the left where it would leave the room.
          const long = row.reduce((sum, each) => sum + drawnWide(each) + 0.015, drawnWide(feeder) / 2);
          const way = x + long > x1 && x - long > x0 ? -1 : 1;
          places[node.id] = { at: [x + way * off, y, z], written: false };
        }
      });
    }
  }
  return places;
}

export function find(plan, id) {
  for (const section of SECTIONS) {
    const index = list(plan, section).findIndex((item) => item.id === id);
    if (index >= 0) return { section, index, item: plan[section][index] };
  }
  return null;
}

export const name = (item) => item.name || item.id;

export function twin(plan, id) {
  const found = find(plan, id);
  if (!found) return null;
  const swap = { left: "right", right: "left", Left: "Right", Right: "Left" };
  const other = id.replace(/\b(left|right|Left|Right)\b/g, (word) => swap[word]);
  const items = list(plan, found.section);
  if (other !== id) return items.find((item) => item.id === other) || null;
  return null;
}

function withItem(plan, { section, index }, item) {
  const items = plan[section].slice();
  items[index] = item;
  return { ...plan, [section]: items };
}

const plus = (point, by) => point.map((value, k) => Math.round((value + by[k]) * 1e6) / 1e6);

function setPath(item, steps, value) {
  if (!steps.length) return value;
  const [step, ...rest] = steps;
  const copy = Array.isArray(item) ? item.slice() : { ...(item || {}) };
  copy[step] = setPath(copy[step], rest, value);
  return copy;
}

/** How far a piece reaches behind its place, toward the wall it is turned from [m]. */
export function reachBack(item) {
  const turn = ((item.turn_deg || 0) * Math.PI) / 180;
  return Math.max(...boxCorners(item).map(([x, y]) => (x - item.at_m[0]) * -Math.sin(turn) + (y - item.at_m[1]) * Math.cos(turn)));
}

/** A board that leans otherwise keeps its back where it was, as the server has it (scenario/carry.py). */
function keptBack(was, item) {
  const turn = ((item.turn_deg || 0) * Math.PI) / 180;
  const by = reachBack(was) - reachBack(item);
  return { ...item, at_m: plus(item.at_m, [-Math.sin(turn) * by, Math.cos(turn) * by, 0]) };
}

function applyOne(plan, id, command) {
  const found = find(plan, id);
  const args = command.args || {};
  if (!found) return plan;
  const { section, item } = found;
  if (command.name === "set") {
    const fresh = setPath(item, args.field.split("."), args.value);
    return withItem(plan, found, args.field === "lean_deg" ? keptBack(item, fresh) : fresh);
  }
  if (section === "strips") {
    const path = args.by_m
      ? item.path_m.map((point) => plus(point, args.by_m))
      : item.path_m.map((point, i) => (i === args.corner ? args.to_m : point));
    return withItem(plan, found, { ...item, path_m: path });
  }
  const field = PLACE[section];
  if (!field || (args.by_m && !item[field])) return plan;
  return withItem(plan, found, { ...item, [field]: args.by_m ? plus(item[field], args.by_m) : args.to_m });
}

export function apply(plan, command) {
  if (!command) return plan;
  if (command.name === "level") {
    const { setup, of, value } = command.args;
    return {
      ...plan,
      setups: plan.setups.map((each) => (each.id === setup ? { ...each, levels: { ...(each.levels || {}), [of]: value } } : each)),
    };
  }
  if (command.name !== "move" && command.name !== "set") return plan;
  return (command.ids || [command.id]).reduce((now, id) => applyOne(now, id, command), plan);
}
