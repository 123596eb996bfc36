// Claims: what the view from the side reads off is what a tape measure would say, and a hand there makes the same commands as elsewhere.
import assert from "node:assert/strict";
import { test } from "node:test";
import { begin, command } from "../../assets/moves.js";
import { apply, box, boxPoint, lightCentre, wallY } from "../../assets/plan.js";
import { backEdges, facts, nearSide, roomAt, spread } from "../../assets/side.js";
import { candidates, settle } from "../../assets/snap.js";
import { plainPair } from "./plans.mjs";
import { python } from "./python.mjs";

const SIDE = [1, 2];
const near = (value, wanted, within = 1e-9) => assert.ok(Math.abs(value - wanted) <= within, `${value} is not ${wanted}`);
const told = (plan, words, side) => facts(plan, side).find((fact) => fact.words.includes(words))?.number;

test("distances off the wall are those that stand in the plan", () => {
  const plan = plainPair(); // wall at 3 m, headboard's middle at 2.945 m and 6 cm deep, strip at 2.977 m
  assert.equal(wallY(plan), 3);
  near(told(plan, "gap behind headboard"), 0.025);
  near(told(plan, "glow strip"), 0.023);
  near(told(plan, "left light"), 0.12);
  near(told(plan, "eyes to page"), 0.4);
  near(told(plan, "for a plug: too little"), 0.025);
  assert.equal(told(plan, "right light"), undefined);
  near(told(plan, "right light", 1), 0.12);
});

test("a leaning board stands off the wall by its height times the sine, and stands where the server has it", (context) => {
  const plan = apply(plainPair(), { name: "set", id: "headboard", args: { field: "lean_deg", value: 9 } });
  const board = plan.furniture.find((item) => item.id === "headboard");
  const [top, foot] = backEdges(plan, board);
  near(foot.off_m - top.off_m, 1.1 * Math.sin((9 * Math.PI) / 180));
  near(top.off_m, 0.025, 1e-6); // its back stays where it was
  near(told(plan, "leans back"), 9);
  // closed form: behind a leaning board the gap grows by the tangent of the lean
  const below = top.point[2] - 0.8; // above the mattress, which reaches nearer to the wall than the board's foot
  near(roomAt(plan, [1.8, 3, 0.8]), top.off_m + below * Math.tan((9 * Math.PI) / 180), 1e-9);
  assert.equal(roomAt(plan, [0.2, 3, 2]), Infinity);
  const script = [
    "import json,sys", "from lumen.scenario.document import parse", "from lumen.scenario.pose import pose_of", "s=parse(json.load(sys.stdin))",
    "p=pose_of(next(f for f in s.furniture if f.id=='headboard'))", "json.dump([p.world((0,p.half[1],k*p.half[2])) for k in (1,-1)],sys.stdout)",
  ].join("\n");
  const server = python(script, plan);
  if (!server) return context.skip("no Python with the project's imports at hand");
  [top, foot].forEach(({ point }, i) => point.forEach((value, k) => near(value, server[i][k], 2e-6)));
});

test("a board that is leaned in the browser stands where the server will put it", (context) => {
  const plan = plainPair();
  plan.furniture.find((item) => item.id === "headboard").turn_deg = 5;
  const script = [
    "import json,sys", "from lumen.scenario.document import parse, plain", "from lumen.scenario.carry import kept_off_the_wall", "a=json.load(sys.stdin)",
    "json.dump(plain(kept_off_the_wall(parse(a[0]), parse(a[1])))['furniture'],sys.stdout)",
  ].join("\n");
  const leaned = structuredClone(plan);
  leaned.furniture.find((item) => item.id === "headboard").lean_deg = 12;
  const server = python(script, [plan, leaned]);
  if (!server) return context.skip("no Python with the project's imports at hand");
  const here = apply(plan, { name: "set", id: "headboard", args: { field: "lean_deg", value: 12 } });
  const at = (furniture) => furniture.find((item) => item.id === "headboard").at_m;
  at(here.furniture).forEach((value, k) => near(value, at(server)[k], 2e-6));
});

test("from the side a wall light is set off the wall or moved up, one at a time", () => {
  const plan = plainPair();
  const grip = begin(plan, ["left light"], SIDE);
  assert.deepEqual(command(grip, [grip.at[0] - 0.05, grip.at[1]]), { name: "set", id: "left light", args: { field: "projection_m", value: 0.17 } });
  assert.deepEqual(command(grip, [grip.at[0], 1.4]), { name: "move", id: "left light", args: { to_m: [0.885, 3, 1.4] } });
  assert.equal(grip.lock, true);
  const off = apply(plan, command(grip, [grip.at[0] - 0.05, grip.at[1]]));
  near(lightCentre(off, off.lights[0])[1], 2.83);
});

test("a board's foot or top in the hand leans it; the board itself moves off the wall", () => {
  const plan = plainPair();
  const foot = begin(plan, ["headboard"], SIDE, { lean: "foot" });
  const lean = (Math.asin(0.11 / 1.1) * 180) / Math.PI; // foot drawn off by a tenth of the height
  near(command(foot, [foot.at[0] - 0.11, foot.at[1]]).args.value, lean, 0.06);
  const leaned = apply(plan, command(foot, [foot.at[0] - 0.11, foot.at[1]]));
  const top = begin(leaned, ["headboard"], SIDE, { lean: "top" });
  near(command(top, [top.at[0] - 0.11, top.at[1]]).args.value, 0, 0.1); // and its top drawn off as far sets it upright
  const board = begin(plan, ["headboard"], SIDE);
  assert.deepEqual(command(board, [board.at[0] - 0.02, board.at[1]]).args, { to_m: [1.8, 2.925, 0] });
  const { at, guides } = settle([2.968, 0], candidates(plan, "headboard", SIDE), { reach_m: 0.03, grid_m: 0.01, origin: [3, 0], axes: "u" });
  near(at[0], 2.97); // its back against the wall
  assert.equal(guides[0].words, "against the bed wall");
});

test("a strip moves off the wall, eyes along the bed, a page nearer to them", () => {
  const plan = plainPair();
  const strip = begin(plan, ["glow strip"], SIDE);
  assert.deepEqual(command(strip, [strip.at[0] - 0.01, strip.at[1]]).args, { by_m: [0, -0.01, 0] });
  const eyes = begin(plan, ["left"], SIDE);
  const moved = command(eyes, [eyes.at[0] - 0.05, eyes.at[1]]);
  assert.equal(moved.args.field, "eye_from_head_end_m");
  near(moved.args.value, eyes.fromHead + 0.05);
  const page = begin(plan, ["left"], SIDE, { page: true });
  const further = command(page, [page.at[0] - 0.1, page.at[1]]);
  assert.equal(further.args.field, "page.distance_m");
  near(further.args.value, 0.4 + 0.1 / Math.cos((40 * Math.PI) / 180), 0.006);
  assert.equal(command(page, [page.at[0], page.at[1] - 0.1]).args.field, "page.gaze_down_deg");
});

test("one looks over the side of what is in the hand", () => {
  const plan = plainPair();
  assert.equal(nearSide(plan, []), -1);
  assert.equal(nearSide(plan, ["right light"]), 1);
  assert.equal(nearSide(plan, ["headboard"]), -1);
});

test("rows of the column never lie on each other and stay inside it", () => {
  const placed = spread([100, 102, 101, 300, 302, 500], 19, 60, 480);
  const sorted = [...placed].sort((a, b) => a - b);
  sorted.forEach((y, i) => {
    assert.ok(y >= 60 && y <= 480);
    if (i) assert.ok(y - sorted[i - 1] >= 19 - 1e-9);
  });
  assert.ok(placed[0] < placed[2] && placed[2] < placed[1], "in the order of their places");
});

test("a board's corner points are those of its box", () => {
  const solid = box({ at_m: [1, 2, 0], size_m: [1, 0.06, 1], lean_deg: 0 });
  assert.deepEqual(boxPoint(solid, 0.5, 0.03, 0.5), [1.5, 2.03, 1]);
});
