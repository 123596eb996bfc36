/* moves: what may move which way on a drawing, and the one command a move becomes, pure.
 *
 *   begin(plan, ids, axes, part)  -> grip or null; part = {corner: i} of a strip, {page: true} of a person,
 *                                  {lean: "top" | "foot"} of a board, or none
 *       grip = {ids, at: [u, v], free: "uv"|"u"|"v", lock: bool, ...}
 *   command(grip, [u, v])         -> a command for lumen/scenario/edits.py, or null when nothing moved
 *   place(plan, id, part)         -> [x, y, z] that stands for the thing: a light's mount, a box's foot, a strip's point, an eye
 *
 * On the wall, things that stand on the floor slide sideways only; mattress and bed frame go together. From above, what
 * hangs on a wall slides along that wall. From the side (axes [1, 2]) a wall light is set off the wall or moved up, one at a time. A person moves one way at a time (lock): sideways in the bed, or the eye's height.
 */
import * as Plan from "./plan.js";
import { usual } from "./usual.js";

const NEAR_WALL_M = 0.08;
const tidy = (value) => Math.round(value * 1e5) / 1e5;

export function place(plan, id, part) {
  const found = Plan.find(plan, id);
  if (!found) return null;
  const { section, item } = found;
  if (section === "lights") return item.mount_m;
  if (section === "furniture") return part?.lean ? edgeOf(item, part.lean) : item.at_m;
  if (section === "strips") return item.path_m[part && Number.isInteger(part.corner) ? part.corner : 0];
  if (section === "people") {
    if (part?.page) {
      const corners = Plan.pageCorners(plan, item);
      return corners && [0, 1, 2].map((k) => corners.reduce((sum, corner) => sum + corner[k] / 4, 0));
    }
    return Plan.readingEye(plan, item);
  }
  const spot = Plan.supplyPlaces(plan)[id];
  return spot ? spot.at : null;
}

/** The middle of a board's upper or lower front edge. */
function edgeOf(item, end) {
  const solid = Plan.box(item);
  return Plan.boxPoint(solid, 0, -solid.half[1], end === "top" ? solid.half[2] : -solid.half[2]);
}

/** The wall a point hangs on: "u" when it may slide along x, "v" along y, "uv" when it is on none. */
function along(plan, point) {
  const room = Plan.extent(plan);
  if (Math.min(Math.abs(point[1] - room.y1), Math.abs(point[1] - room.y0)) < NEAR_WALL_M) return "u";
  if (Math.min(Math.abs(point[0] - room.x0), Math.abs(point[0] - room.x1)) < NEAR_WALL_M) return "v";
  return "uv";
}

const isSide = (axes) => axes[0] === 1;

/** How far a light stands off what it hangs on, where the side view shows that way; else null. */
function standsOff(plan, item) {
  const hangs = !item.mount || item.mount === "wall" || item.mount === "headboard";
  const [, ny] = Plan.inward(plan, item);
  return hangs && Math.abs(ny) > 0.5 ? { off_m: item.projection_m ?? usual.light.projection_m, way: Math.sign(ny) } : null;
}

/** What may move which way from the side: u is off the wall, v is up. */
function freedomFromSide(plan, { section, item }, part) {
  if (section === "strips" || section === "people") return "uv";
  if (section === "furniture") return part?.lean || isStanding(item) ? "u" : "uv";
  if (section === "lights") return item.mount === "ceiling" || item.mount === "stand" ? "u" : "uv";
  if (item.kind === "circuit" || !item.at_m) return "";
  return item.kind === "outlet" && along(plan, item.at_m) === "u" ? "v" : "uv";
}

const isStanding = (item) => item.kind === "mattress" || item.kind === "bed frame" || item.at_m[2] < 0.02;

export function freedom(plan, { section, item }, axes, part) {
  if (isSide(axes)) return freedomFromSide(plan, { section, item }, part);
  const onWall = axes[1] === 2;
  if (section === "strips") return "uv";
  if (section === "people") return part?.page ? "v" : onWall ? "uv" : "u";
  if (section === "furniture") {
    if (!onWall) return "uv";
    return isStanding(item) ? "u" : "uv";
  }
  if (section === "lights") {
    const hangs = !item.mount || item.mount === "wall" || item.mount === "headboard";
    if (onWall) {
      if (item.mount === "ceiling") return "u";
      return hangs && along(plan, item.mount_m) === "v" ? "v" : "uv";
    }
    return hangs ? along(plan, item.mount_m) : "uv";
  }
  if (item.kind === "circuit" || !item.at_m) return "";
  if (item.kind !== "outlet") return "uv";
  const way = along(plan, item.at_m);
  return onWall ? (way === "v" ? "v" : "uv") : way;
}

function bedGroup(plan, item) {
  return Plan
    .list(plan, "furniture")
    .filter((other) => other.kind === "mattress" || other.kind === "bed frame")
    .filter((other) => Math.hypot(other.at_m[0] - item.at_m[0], other.at_m[1] - item.at_m[1]) < 0.3)
    .map((other) => other.id);
}

export function begin(plan, ids, axes, part = null) {
  const founds = ids.map((id) => Plan.find(plan, id)).filter(Boolean);
  if (!founds.length) return null;
  const lead = founds[0];
  const at3 = place(plan, lead.item.id, part);
  if (!at3) return null;
  const grip = { axes, at: [at3[axes[0]], at3[axes[1]]], at3, part, section: lead.section, id: lead.item.id, item: lead.item };
  if (founds.length > 1) {
    const movable = founds.filter((found) => found.section !== "people" && freedom(plan, found, axes, null));
    const free = movable.map((found) => freedom(plan, found, axes, null));
    if (!movable.length) return null;
    return {
      ...grip,
      ids: movable.map((found) => found.item.id),
      free: ["u", "v"].filter((axis) => free.every((each) => each.includes(axis))).join(""),
      part: null,
    };
  }
  grip.free = freedom(plan, lead, axes, part);
  if (!grip.free) return null;
  const isBed = lead.section === "furniture" && (lead.item.kind === "mattress" || lead.item.kind === "bed frame");
  grip.ids = isBed ? bedGroup(plan, lead.item) : [lead.item.id];
  if (lead.section === "lights" && isSide(axes)) {
    grip.standing = standsOff(plan, lead.item);
    grip.lock = Boolean(grip.standing); // one command: how far off, or how high
  }
  if (lead.section === "people") {
    const bed = Plan.bedOf(plan, lead.item);
    grip.lock = !part || isSide(axes);
    grip.right = Plan.personRight(bed, lead.item);
    grip.eyeUp = Plan.middle(lead.item.eye_above_mattress_m ?? usual.person.eye_above_mattress_m);
    grip.fromHead = Plan.middle(lead.item.eye_from_head_end_m ?? usual.person.eye_from_head_end_m);
    grip.eye = Plan.readingEye(plan, lead.item);
    grip.page = Plan.pageOf(lead.item);
  }
  return grip;
}

function limit(value, low, high) {
  return Math.min(high, Math.max(low, value));
}

function personCommand(grip, du, dv) {
  const set = (field, value) => ({ name: "set", id: grip.id, args: { field, value } });
  if (grip.part?.page) {
    const distance = Plan.middle(grip.page.distance_m);
    const down = (grip.page.gaze_down_deg * Math.PI) / 180;
    if (isSide(grip.axes) && Math.abs(du) > Math.abs(dv)) {
      const reach = limit(distance - du / Math.max(0.2, Math.cos(down)), 0.15, 1.2);
      return set("page.distance_m", Math.round(reach * 100) / 100);
    }
    if (grip.axes[1] === 2) {
      const sine = limit(Math.sin(down) - dv / distance, 0, 1);
      return set("page.gaze_down_deg", limit(Math.round((Math.asin(sine) * 180) / Math.PI), 0, 90));
    }
    const reach = limit(distance - dv / Math.max(0.2, Math.cos(down)), 0.15, 1.2);
    return set("page.distance_m", Math.round(reach * 100) / 100);
  }
  if (Math.abs(du) >= Math.abs(dv)) {
    if (isSide(grip.axes)) return set("eye_from_head_end_m", Math.max(0.05, tidy(grip.fromHead - du)));
    return set("from_centre_m", tidy(grip.right + du));
  }
  return set("eye_above_mattress_m", Math.max(0.1, tidy(grip.eyeUp + dv)));
}

export function command(grip, [u, v]) {
  const du = grip.free.includes("u") ? u - grip.at[0] : 0;
  const dv = grip.free.includes("v") ? v - grip.at[1] : 0;
  if (Math.abs(du) < 1e-6 && Math.abs(dv) < 1e-6) return null;
  if (grip.section === "people" && grip.ids.length === 1) return personCommand(grip, du, dv);
  if (grip.part?.lean) {
    // The board turns about its lower back edge: its foot drawn off the wall leans it, its top drawn off sets it upright.
    const way = grip.part.lean === "top" ? 1 : -1;
    const sine = limit(Math.sin(((grip.item.lean_deg || 0) * Math.PI) / 180) + (way * du) / grip.item.size_m[2], -0.7, 0.7);
    return { name: "set", id: grip.id, args: { field: "lean_deg", value: Math.round((Math.asin(sine) * 1800) / Math.PI) / 10 } };
  }
  if (grip.standing && Math.abs(du) >= Math.abs(dv)) {
    const value = Math.max(0.01, tidy(grip.standing.off_m + grip.standing.way * du));
    return { name: "set", id: grip.id, args: { field: "projection_m", value } };
  }
  const by = [0, 0, 0];
  by[grip.axes[0]] = tidy(du);
  by[grip.axes[1]] = tidy(dv);
  if (grip.ids.length > 1) return { name: "move", ids: grip.ids, args: { by_m: by } };
  const to = grip.at3.map((value, k) => tidy(value + by[k]));
  if (grip.section === "strips") {
    if (grip.part && Number.isInteger(grip.part.corner)) {
      return { name: "move", id: grip.id, args: { corner: grip.part.corner, to_m: to } };
    }
    return { name: "move", id: grip.id, args: { by_m: by } };
  }
  return { name: "move", id: grip.id, args: { to_m: to } };
}
