/* readout: the words and the live distances on a drawing.
 *
 *   label(plan, id, axes, system)     -> "left light, 1.37 m above floor, 1.02 m left of bed centre line"
 *   nodes(context, look, draft)       -> SVG nodes: snap guides, distances from floor and bed centre line
 *   gathered([{caution, index, at}])  -> [{at, members}]: marks that would lie on each other as one
 *   cautionMark({at, members})        -> SVG node: stop = octagon, ask = diamond, note = circle, with a count
 */
import * as Moves from "./moves.js";
import * as Plan from "./plan.js";
import { make, path } from "./svg.js";
import * as Units from "./units.js";

export function sideWords(off, system) {
  if (Math.abs(off) < 0.0005) return "on the bed centre line";
  return `${Units.say(Math.abs(off), system)} ${off < 0 ? "left" : "right"} of bed centre line`;
}

export function label(plan, id, axes, system = "cm") {
  const found = Plan.find(plan, id);
  if (!found) return id;
  const { item, section } = found;
  const words = [Plan.name(item)];
  if (section === "people") words[0] = `${words[0]}, ${item.reads === false ? "sleeps" : "reads"}`;
  if (section === "strips") {
    const length = item.path_m.reduce((sum, p, i, all) => (i ? sum + Math.hypot(...p.map((v, k) => v - all[i - 1][k])) : 0), 0);
    words.push(`strip ${Units.say(length, system)} long`);
  }
  const at = Moves.place(plan, id);
  if (!at) return words.join(", ");
  if (axes[0] === 1) words.push(`${Units.say(Math.max(0, Plan.wallY(plan) - at[1]), system)} from the bed wall`);
  if (axes[1] === 2) {
    words.push(section === "furniture" && at[2] < 0.005 ? "on the floor" : `${Units.say(at[2], system)} above floor`);
  } else {
    words.push(`${Units.say(Math.max(0, Plan.extent(plan).y1 - at[1]), system)} from the bed wall`);
  }
  words.push(sideWords(at[0] - Plan.bedCentre(plan), system));
  return words.join(", ");
}

export function pill(x, y, text, anchor = "middle") {
  const width = 7.4 * text.length + 14;
  const left = Math.max(2, anchor === "middle" ? x - width / 2 : anchor === "end" ? x - width : x);
  y = Math.max(13, y); // never cut off by the frame
  return make(
    "g", { class: "lm-pill" },
    make("rect", { x: left, y: y - 11, width, height: 22, rx: 11 }),
    make("text", { x: left + width / 2, y, dy: "0.35em" }, text)
  );
}

export function span(x0, y0, x1, y1) {
  const flat = Math.abs(y1 - y0) < Math.abs(x1 - x0);
  const tick = (x, y) => (flat ? `M${x} ${y - 5}V${y + 5}` : `M${x - 5} ${y}H${x + 5}`);
  return make("path", { class: "lm-span", d: `M${x0} ${y0}L${x1} ${y1}${tick(x0, y0)}${tick(x1, y1)}` });
}

function guides(now, draft) {
  return draft.guides.map((guide) => {
    const [x, y] = now.px(guide.at, guide.at);
    const line =
      guide.axis === "u" ? { x1: x, x2: x, y1: 0, y2: now.height } : { x1: 0, x2: now.width, y1: y, y2: y };
    const words =
      guide.axis === "u"
        ? make("text", { class: "lm-guide-words", x: x + 7, y: 16 }, guide.words)
        : make("text", { class: "lm-guide-words", x: 8, y: y - 6 }, guide.words);
    return make("g", {}, make("line", { class: "lm-guide", ...line }), words);
  });
}

/** Where distances are taken: from the side that is a light's lamp, not its plate, which lies on the wall. */
function seenAt(plan, id, part, look) {
  const found = look.axes[0] === 1 ? Plan.find(plan, id) : null;
  return found?.section === "lights" ? Plan.lightCentre(plan, found.item) : Moves.place(plan, id, part);
}

export function nodes(now, look, draft) {
  const out = draft ? guides(now, draft) : [];
  const id = draft ? draft.grip.id : now.selection.length === 1 ? now.selection[0] : null;
  if (!id) return out;
  const part = draft ? draft.grip.part : null;
  const at = seenAt(now.plan, id, part, look);
  if (!at) return out;
  const centre = Plan.bedCentre(now.plan);
  const [x, y] = now.at(at);
  const onWall = look.axes[1] === 2;
  const room = Plan.extent(now.plan);
  const fromSide = look.axes[0] === 1;
  const zero = fromSide ? Plan.wallY(now.plan) : centre;
  const [cx] = now.px(zero, 0);
  const base = onWall ? 0 : room.y1;
  const [, by] = now.px(0, base);
  if (Math.abs(cx - x) > 1) {
    out.push(span(x, y, cx, y), pill((x + cx) / 2, y - 16, Units.print(Math.abs(at[look.axes[0]] - zero), now.units)));
  }
  const up = onWall ? at[2] : room.y1 - at[1];
  if (Math.abs(by - y) > 3) {
    const text = Units.print(up, now.units);
    const right = x + 7.4 * text.length + 40 < now.width;
    out.push(span(x, y, x, by), pill(right ? x + 10 : x - 10, (y + by) / 2, text, right ? "start" : "end"));
  }
  return out;
}

const OCTAGON = Array.from({ length: 8 }, (_, i) => {
  const turn = ((i + 0.5) * Math.PI) / 4;
  return [11 * Math.cos(turn), 11 * Math.sin(turn)];
});
const APART_PX = 24;
const SIGNS = { stop: "!", ask: "?", note: "i" };

const RANK = { stop: 0, ask: 1, note: 2 };
const rank = (caution) => RANK[caution.level] ?? 2;

/** Marks that would lie on each other become one, with the gravest caution first. */
export function gathered(found) {
  const groups = [];
  for (const each of [...found].sort((p, q) => rank(p.caution) - rank(q.caution))) {
    const near = groups.find((group) => Math.hypot(group.at[0] - each.at[0], group.at[1] - each.at[1]) < APART_PX);
    if (near) near.members.push(each);
    else groups.push({ at: each.at, members: [each] });
  }
  return groups;
}

export function cautionMark({ at: [x, y], members }) {
  const level = Object.keys(RANK)[rank(members[0].caution)];
  const outline =
    level === "stop"
      ? make("path", { d: path(OCTAGON, true) })
      : level === "ask"
        ? make("path", { d: "M0 -12L12 0L0 12L-12 0Z" })
        : make("circle", { r: 10 });
  const words = members.map(({ caution }) => `${caution.level}: ${caution.title}`).join("\n");
  return make(
    "g",
    { class: `lm-mark is-${level}`, "data-caution": members[0].index, transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})` },
    make("title", {}, words),
    make("circle", { class: "lm-hit", r: 18 }),
    outline,
    make("text", { dy: "0.36em" }, SIGNS[level]),
    members.length > 1
      ? make("g", { class: "lm-mark-count" }, make("rect", { x: 5, y: -17, width: 17, height: 15, rx: 7.5 }), make("text", { x: 13.5, y: -9.5, dy: "0.35em" }, String(members.length)))
      : null
  );
}
