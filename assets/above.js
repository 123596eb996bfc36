/* above: the room seen from above, the bed wall at the top.
 *
 *   mount(element, opts) -> view (see stage.js for opts and the view)
 *
 * Floor and bed are painted by their own maps. What hangs on a wall slides along it; furniture slides anywhere.
 */
import * as Paint from "./paint.js";
import * as Plan from "./plan.js";
import * as Stage from "./stage.js";
import { hull, make, path } from "./svg.js";
import * as Wall from "./wall.js";

const AXES = [0, 1];

const extent = (plan) => {
  const room = Plan.extent(plan);
  return { u0: room.x0 - 0.08, u1: room.x1 + 0.08, v0: room.y0 - 0.08, v1: room.y1 + 0.08 };
};

function footprint(item) {
  return hull(Plan.boxCorners(item).map(([x, y]) => [x, y]));
}

function surfaces(plan, now) {
  const bed = Plan.mattress(plan);
  return [
    { grid: "floor", clip: plan.room.outline_m, behind: now ? Wall.hiding(now, () => true) : [] },
    ...(bed ? [{ grid: "mattress", clip: footprint(bed) }] : []),
  ];
}

function furniture(now, item) {
  const corners = footprint(item).map(([u, v]) => now.px(u, v));
  const painted = item.kind === "mattress" && now.paint !== "none" && now.ready?.grids.mattress;
  const lrv = Plan.lrvOf(item) / 100;
  // The painted bed must not be hidden by the frame below it.
  const carries = item.kind === "bed frame" && now.paint !== "none" && now.ready?.grids.mattress;
  const fill = painted || carries ? "transparent" : Paint.ambient(now, lrv) || "";
  const nodes = [make("path", { class: `lm-box is-${item.kind.replace(/ /g, "-")}`, d: path(corners, true), style: fill ? `fill:${fill}` : "" })];
  const xs = corners.map((p) => p[0]), ys = corners.map((p) => p[1]);
  const x1 = Math.max(...xs), y0 = Math.min(...ys);
  const top = item.at_m[2] + item.size_m[2];
  return { id: item.id, kind: "furniture", order: top, mark: [x1 - 14, y0 + 14], nodes };
}

function person(now, someone) {
  const reads = someone.reads !== false;
  const eye = reads ? Plan.readingEye(now.plan, someone) : Plan.lyingEye(now.plan, someone);
  if (!eye) return null;
  const [x, y] = now.at(eye);
  const r = 0.095 * now.scale;
  const nodes = [Wall.hitBox([[x - r, y - r], [x + r, y + r]], 44)];
  nodes.push(make("ellipse", { class: "lm-person", cx: x, cy: y - 0.03 * now.scale, rx: 0.22 * now.scale, ry: 0.11 * now.scale }));
  nodes.push(make("circle", { class: "lm-person is-head", cx: x, cy: y - 0.03 * now.scale, r }));
  if (reads) {
    const page = (Plan.pageCorners(now.plan, someone) || []).map(now.at);
    nodes.push(make("g", { class: "lm-page", "data-page": "" }, make("path", { d: path(page, true) }), Wall.hitBox(page, 32)));
  }
  return { id: someone.id, kind: "person", order: 50, mark: [x + r, y - r], nodes };
}

/** Corners of a panel as seen from above: its length runs into the room, turned with its aim. */
function panelCorners(now, item, [x, y, z]) {
  const form = item.distribution, aim = item.aim || {};
  const turn = ((aim.turn_deg || 0) * Math.PI) / 180, tilt = ((aim.tilt_deg || 0) * Math.PI) / 180;
  const [nx, ny] = Plan.inward(now.plan, item);
  const ahead = [nx * Math.cos(turn) - ny * Math.sin(turn), nx * Math.sin(turn) + ny * Math.cos(turn)];
  const a = (form.length_m / 2) * Math.cos(tilt), b = form.width_m / 2;
  return [[-a, -b], [a, -b], [a, b], [-a, b]].map(([u, v]) => [x + u * ahead[0] + v * ahead[1], y + u * ahead[1] - v * ahead[0], z]);
}

function light(now, item) {
  const centre = Plan.lightCentre(now.plan, item);
  const [x, y] = now.at(centre), [mx, my] = now.at(item.mount_m);
  const form = item.distribution || {};
  const glow = Paint.glowOf(now, item.id);
  const r = Math.max(7, (Plan.lightWide(item) / 2) * now.scale);
  const nodes = [Wall.hitBox([[x - r, y - r], [x + r, y + r]], 44)];
  if (Math.hypot(mx - x, my - y) > 2) nodes.push(make("path", { class: "lm-arm", d: `M${mx} ${my}L${x} ${y}` }));
  const lit = { class: `lm-shade${glow.level > 0 ? " is-lit" : ""}`, style: glow.css ? `fill:${glow.css}` : "" };
  if (form.form === "panel") nodes.push(make("path", { ...lit, d: path(panelCorners(now, item, centre).map(now.at), true) }));
  else nodes.push(make("circle", { ...lit, cx: x, cy: y, r }));
  const target = item.aim?.at && Wall.targetPoint(now.plan, item.aim.at);
  if (target && now.selection.includes(item.id)) {
    const [tx, ty] = now.at(target);
    nodes.push(make("path", { class: "lm-ray", d: `M${x} ${y}L${tx} ${ty}` }));
  }
  return { id: item.id, kind: "light", order: 60, mark: [x + r + 8, y - r], nodes };
}

function strip(now, item) {
  const points = item.path_m.map(now.at);
  const glow = Paint.glowOf(now, item.id);
  const nodes = [
    make("path", { class: "lm-hit-line", d: path(points) }),
    make("path", { class: `lm-strip${glow.level > 0 ? " is-lit" : ""}`, d: path(points), style: glow.css ? `stroke:${glow.css}` : "" }),
  ];
  if (now.selection.includes(item.id)) {
    points.forEach(([x, y], corner) => {
      nodes.push(
        make("g", { class: "lm-handle", "data-corner": corner }, make("circle", { class: "lm-hit", cx: x, cy: y, r: 20 }), make("circle", { cx: x, cy: y, r: 6 }))
      );
    });
  }
  const [x, y] = points[Math.floor(points.length / 2)];
  return { id: item.id, kind: "strip", order: 61, mark: [x - 14, y + 16], nodes };
}

function supply(now, node, spot) {
  const [x, y] = now.at(spot.at);
  const unit = Math.min(1.5, Math.max(0.75, now.scale / 210));
  const nodes = [Wall.hitBox([[x, y]], spot.written ? 30 : 22)];
  if (node.kind === "outlet") {
    nodes.push(make("path", { class: "lm-supply is-outlet", d: `M${x - 9 * unit} ${y}A${9 * unit} ${9 * unit} 0 0 0 ${x + 9 * unit} ${y}Z` }));
  } else {
    const w = node.kind === "power strip" ? 38 : node.kind === "driver" ? 20 : 13;
    nodes.push(make("rect", { class: "lm-supply", x: x - (w * unit) / 2, y: y - 5.5 * unit, width: w * unit, height: 11 * unit, rx: 3 }));
  }
  return { id: node.id, kind: `supply-${node.kind}`, order: 55, mark: [x + 12, y + 14], nodes };
}

function openings(now) {
  return (now.plan.room.openings || []).map((each) => {
    const [a, b] = Plan.wallEnds(now.plan, each.wall);
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
    const along = (s) => now.px(a[0] + ((b[0] - a[0]) * s) / length, a[1] + ((b[1] - a[1]) * s) / length);
    const [x0, y0] = along(each.from_m), [x1, y1] = along(each.to_m);
    const gap = `M${x0} ${y0}L${x1} ${y1}`;
    if (each.kind !== "door") return make("path", { class: `lm-gap is-${each.kind}`, d: gap }, make("title", {}, each.id));
    const [nx, ny] = Plan.wallNormal(now.plan, each.wall);
    const wide = Math.hypot(x1 - x0, y1 - y0);
    const [lx, ly] = [x0 + nx * wide, y0 - ny * wide];
    const turn = (x1 - x0) * (ly - y0) - (y1 - y0) * (lx - x0) > 0 ? 1 : 0;
    return make(
      "g", { class: "lm-door" },
      make("path", { class: "lm-gap is-door", d: gap }),
      make("path", { class: "lm-fine", d: `M${x1} ${y1}A${wide} ${wide} 0 0 ${turn} ${lx} ${ly}L${x0} ${y0}` }),
      make("title", {}, each.id)
    );
  });
}

function scene(now) {
  const plan = now.plan;
  const places = Plan.supplyPlaces(plan);
  const room = Plan.extent(plan);
  const corners = plan.room.outline_m.map(([u, v]) => now.px(u, v));
  const [cx, top] = now.px(Plan.bedCentre(plan), room.y1), [, low] = now.px(0, room.y0);
  const things = Stage.things(now, places, { furniture, people: person, lights: light, strips: strip, supply }).filter(Boolean);
  things.sort((p, q) => p.order - q.order);
  return {
    back: [make("path", { class: "lm-room is-plan", d: path(corners, true) }), ...openings(now)],
    things,
    front: [
      make("path", { class: "lm-centre", d: `M${cx} ${top}V${low}` }),
      make("text", { class: "lm-hint", x: cx, y: top - 8 }, "bed wall"),
    ],
  };
}

export const look = { kind: "above", axes: AXES, title: "The room from above, bed wall at the top. Tab walks from thing to thing, arrow keys move it, Enter takes it in the hand, Enter again goes to its numbers.", extent, surfaces, scene };

export const mount = (element, opts) => Stage.create(element, opts, look);
