// Claims: snapping, moves, keys and dropped things become the right command, once.
import assert from "node:assert/strict";
import { test } from "node:test";
import * as Drop from "../../assets/drop.js";
import * as Keys from "../../assets/keys.js";
import { begin, command } from "../../assets/moves.js";
import * as Readout from "../../assets/readout.js";
import { candidates, settle } from "../../assets/snap.js";
import { plainPair } from "./plans.mjs";

const WALL = [0, 2], ABOVE = [0, 1];
const options = { reach_m: 0.03, grid_m: 0.01, origin: [1.8, 0], axes: "uv" };

test("a light near its twin's height takes it, and says so", () => {
  const lines = candidates(plainPair(), "left light", WALL);
  const { at, guides } = settle([0.7, 1.234], lines, options);
  assert.equal(at[1], 1.22);
  assert.equal(guides[0].words, "level with right light");
});

test("a light as far from the bed's centre line as its twin takes that place", () => {
  const plan = plainPair();
  plan.lights[1].mount_m = [2.9, 3, 1.3];
  const { at } = settle([0.69, 1.0], candidates(plan, "left light", WALL), options);
  assert.ok(Math.abs(at[0] - 0.7) < 1e-9);
});

test("away from every line a thing falls on the centimetre grid, counted from floor and bed centre line", () => {
  const { at, guides } = settle([0.6038, 1.5049], candidates(plainPair(), "left light", WALL), options);
  assert.deepEqual(at, [0.6, 1.5]);
  assert.deepEqual(guides, []);
  const inch = settle([1.8 + 0.0201, 1.5], [], { ...options, grid_m: 0.00635 });
  assert.ok(Math.abs((inch.at[0] - 1.8) / 0.00635 - 3) < 1e-3);
});

test("Alt leaves a thing where the hand is", () => {
  const { at } = settle([0.6038, 1.2249], candidates(plainPair(), "left light", WALL), { ...options, free: true });
  assert.deepEqual(at, [0.6038, 1.2249]);
});

test("an outlet finds the line of the others; a light is never drawn to the line above an outlet", () => {
  const plan = plainPair();
  assert.equal(settle([2.2, 0.42], candidates(plan, "bed outlet", WALL), options).at[1], 0.4);
  assert.ok(candidates(plan, "right light", WALL).every((line) => line.kind !== "outlet" && line.at !== 3.1));
});

test("furniture settles edge to edge", () => {
  const { at } = settle([0.82, 0.44], candidates(plainPair(), "left nightstand", WALL), options);
  // its right edge against the headboard's left edge: 1.8 - 1.65 / 2 - 0.45 / 2, the nearest of several edges
  assert.ok([0.75, 0.81, 0.8, 0.85].some((x) => Math.abs(at[0] - x) < 1e-9) || Math.abs(at[0] + 0.225 - (1.8 - 0.765)) < 1e-9, String(at));
});

test("a light moves along its wall only, by one command with where it ends", () => {
  const grip = begin(plainPair(), ["left light"], WALL);
  assert.equal(grip.free, "uv");
  assert.deepEqual(command(grip, [0.9, 1.37]), { name: "move", id: "left light", args: { to_m: [0.9, 3, 1.37] } });
  assert.equal(command(grip, grip.at), null);
  assert.equal(begin(plainPair(), ["left light"], ABOVE).free, "u");
});

test("what stands on the floor slides sideways on the wall and anywhere from above; mattress and frame go together", () => {
  const plan = plainPair();
  assert.equal(begin(plan, ["headboard"], WALL).free, "u");
  assert.equal(begin(plan, ["left nightstand"], WALL).free, "uv");
  const bed = begin(plan, ["mattress"], WALL);
  assert.deepEqual(command(bed, [1.9, 2]), { name: "move", ids: ["bed frame", "mattress"], args: { by_m: [0.1, 0, 0] } });
  assert.equal(begin(plan, ["mattress"], ABOVE).free, "uv");
});

test("a strip moves whole by its line and by one corner by its handle", () => {
  const plan = plainPair();
  const whole = begin(plan, ["glow strip"], WALL);
  assert.deepEqual(command(whole, [whole.at[0] + 0.05, whole.at[1]]).args, { by_m: [0.05, 0, 0] });
  const corner = begin(plan, ["glow strip"], WALL, { corner: 2 });
  assert.deepEqual(command(corner, [2.5, 1.0]).args, { corner: 2, to_m: [2.5, 2.977, 1] });
});

test("several things move by one command", () => {
  const grip = begin(plainPair(), ["left light", "right light", "left"], WALL);
  assert.deepEqual(command(grip, [grip.at[0], grip.at[1] + 0.15]), {
    name: "move", ids: ["left light", "right light"], args: { by_m: [0, 0, 0.15] },
  });
});

test("a person moves sideways in the bed or by the eye's height; a page by the gaze or its distance", () => {
  const plan = plainPair();
  const head = begin(plan, ["left"], WALL);
  assert.deepEqual(command(head, [head.at[0] - 0.05, head.at[1]]).args, { field: "from_centre_m", value: -0.4325 });
  assert.deepEqual(command(head, [head.at[0], head.at[1] + 0.05]).args, { field: "eye_above_mattress_m", value: 0.73 });
  const gaze = command(begin(plan, ["left"], WALL, { page: true }), [9, begin(plan, ["left"], WALL, { page: true }).at[1] - 0.05]);
  assert.equal(gaze.args.field, "page.gaze_down_deg");
  // eye to page 0.4 m: sin(gaze) grows by 0.05 / 0.4
  assert.equal(gaze.args.value, Math.round((Math.asin(Math.sin((40 * Math.PI) / 180) + 0.125) * 180) / Math.PI));
  const far = begin(plan, ["left"], ABOVE, { page: true });
  assert.equal(command(far, [0, far.at[1] - 0.1]).args.field, "page.distance_m");
  assert.ok(command(far, [0, far.at[1] - 0.1]).args.value > 0.4);
});

test("what has no place of its own cannot be dragged", () => {
  const plan = plainPair();
  assert.equal(begin(plan, ["left receiver"], WALL), null);
  assert.equal(begin(plan, ["bedroom circuit"], WALL), null);
  assert.equal(begin(plan, ["nothing of this name"], WALL), null);
});

test("keys mean what they are said to mean", () => {
  const meaning = (key, more = {}) => Keys.meaning({ key, ctrlKey: false, metaKey: false, shiftKey: false, altKey: false, ...more }, { system: "cm" });
  assert.deepEqual(meaning("ArrowUp"), { do: "nudge", du: 0, dv: 0.01 });
  assert.deepEqual(meaning("ArrowLeft", { shiftKey: true }), { do: "nudge", du: -0.1, dv: 0 });
  assert.deepEqual(meaning("z", { ctrlKey: true }), { do: "undo" });
  assert.deepEqual(meaning("Z", { metaKey: true, shiftKey: true }), { do: "redo" });
  assert.deepEqual(meaning("y", { ctrlKey: true }), { do: "redo" });
  assert.deepEqual(meaning("d", { ctrlKey: true }), { do: "duplicate" });
  assert.deepEqual(meaning("m"), { do: "mirror" });
  assert.deepEqual(meaning("Delete"), { do: "remove" });
  assert.deepEqual(meaning("Escape"), { do: "cancel" });
  assert.equal(meaning("Tab"), null);
  assert.equal(meaning("r", { ctrlKey: true }), null);
  const inch = Keys.meaning({ key: "ArrowUp" }, { system: "ft-in" });
  assert.ok(Math.abs(inch.dv - 0.00635) < 1e-12);
});

test("a thing let go over the wall is placed there, on the grid", () => {
  const made = Drop.command(plainPair(), { what: "wall spot", into: "strip" }, WALL, [0.5034, 1.4949], { setup: "night" });
  assert.equal(made.name, "place");
  assert.deepEqual(made.args, { what: "wall spot", into: "strip", setup: "night", drop: { axes: WALL, at: [0.5, 1.49] } });
});

test("the words for a thing say where it is", () => {
  const plan = plainPair();
  assert.equal(Readout.label(plan, "left light", WALL), "left light, 1.22 m above floor, 92 cm left of bed centre line");
  assert.equal(Readout.label(plan, "headboard", WALL), "headboard, on the floor, on the bed centre line");
  assert.equal(Readout.label(plan, "left light", WALL, "ft-in"), "left light, 4 ft above floor, 3 ft left of bed centre line");
});

test("caution marks that would lie on each other become one, the gravest first", () => {
  const found = [
    { caution: { level: "note", title: "a" }, index: 0, at: [100, 100] },
    { caution: { level: "stop", title: "b" }, index: 1, at: [110, 104] },
    { caution: { level: "ask", title: "c" }, index: 2, at: [300, 100] },
  ];
  const groups = Readout.gathered(found);
  assert.deepEqual(groups.map((group) => group.members.map((each) => each.index)), [[1, 0], [2]]);
});
