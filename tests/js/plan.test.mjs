// Claims: the drawings see the plan as the server does.
import assert from "node:assert/strict";
import { test } from "node:test";
import { bedWall, wallNormal, bedCentre, lightCentre, readingEye, pageCorners, supplyPlaces, wallTop, boxCorners, twin, apply, ceilingHeight } from "../../assets/plan.js";
import { plainPair } from "./plans.mjs";
import { python } from "./python.mjs";

const near = (got, want, within = 1e-9) => got.forEach((value, k) => assert.ok(Math.abs(value - want[k]) < within, `${got} is not ${want}`));

test("the bed wall is the far one that looks back, its normal points into the room", () => {
  const plan = plainPair();
  assert.equal(bedWall(plan), 2);
  near(wallNormal(plan, 2), [0, -1]);
  assert.equal(bedCentre(plan), 1.8);
});

test("a wall light's centre stands off the wall, a pendant hangs, a stand lamp rises", () => {
  const plan = plainPair();
  near(lightCentre(plan, plan.lights[0]), [0.885, 2.88, 1.22]);
  near(lightCentre(plan, { mount: "ceiling", mount_m: [1, 1, 2.4], projection_m: 0.5, drop_m: 0.1 }), [1, 1, 1.8]);
  near(lightCentre(plan, { mount: "stand", mount_m: [1, 1, 0], projection_m: 1.4 }), [1, 1, 1.4]);
});

test("eye, page, boxes, bed wall and ceiling agree with the server's own geometry", (context) => {
  const plan = plainPair();
  plan.furniture[2].lean_deg = 8;
  plan.furniture[1].turn_deg = 12;
  plan.people[0].page = { gaze_down_deg: 55, distance_m: [0.3, 0.5] };
  plan.room.slopes = [{ id: "s", wall: 2, knee_height_m: 1.3, pitch_deg: 35 }];
  const script = [
    "import json,sys", "from lumen.scenario.document import parse",
    "from lumen.study.scene.surfaces import furniture_box, bed_wall, ceiling_height_m", "from lumen.study.scene.targets import mattress_of, page_frame, sitting_eye",
    "s=parse(json.load(sys.stdin)); m=mattress_of(s); p=s.people[0]",
    "signs=[(-1,-1,-1),(1,-1,-1),(1,1,-1),(-1,1,-1),(-1,-1,1),(1,-1,1),(1,1,1),(-1,1,1)]",
    "b=[furniture_box(f) for f in s.furniture]",
    "json.dump({'eye':list(sitting_eye(m,p)),'page':list(page_frame(m,p)[0]),'wall':bed_wall(s.room),'ceiling':ceiling_height_m(s.room,1.0,2.2),",
    "'boxes':[[list(x.centre+(x.half_size*k)@x.axes) for k in signs] for x in b]},sys.stdout)",
  ].join("\n");
  const told = python(script, plan);
  if (!told) return context.skip("no Python with the project's imports at hand");
  near(readingEye(plan, plan.people[0]), told.eye, 1e-6);
  const corners = pageCorners(plan, plan.people[0]);
  near([0, 1, 2].map((k) => corners.reduce((sum, corner) => sum + corner[k] / 4, 0)), told.page, 1e-6);
  plan.furniture.forEach((item, i) => boxCorners(item).forEach((corner, j) => near(corner, told.boxes[i][j], 1e-6)));
  assert.equal(bedWall(plan), told.wall);
  near([ceilingHeight(plan, 1.0, 2.2)], [told.ceiling], 1e-9);
});

test("a sloped ceiling lowers the wall's upper edge", () => {
  const plan = plainPair();
  plan.room.slopes = [{ id: "s", wall: 3, knee_height_m: 1, pitch_deg: 45 }];
  const top = wallTop(plan);
  near(top[0], [0, 1], 1e-9);
  near(top[top.length - 1], [3.6, 2.4], 1e-9);
});

test("whatever is plugged in has a place to be drawn, its own or one inside or beside what holds it", () => {
  const plan = plainPair();
  const places = supplyPlaces(plan);
  assert.deepEqual(Object.keys(places).sort(), plan.supply.filter((node) => node.kind !== "circuit").map((node) => node.id).sort());
  assert.deepEqual(places["bed outlet"], { at: [1.8, 3, 0.4], written: true });
  const stand = plan.furniture.find((item) => item.id === "right nightstand");
  for (const id of ["left receiver", "driver", "left charger"]) {
    assert.equal(places[id].written, false);
    assert.ok(Math.abs(places[id].at[0] - stand.at_m[0]) < stand.size_m[0] / 2);
  }
});

test("twins are told by left and right in their names", () => {
  const plan = plainPair();
  assert.equal(twin(plan, "left light").id, "right light");
  assert.equal(twin(plan, "glow strip"), null);
});

test("a move shown while the hand moves touches one thing and never the plan it began with", () => {
  const plan = plainPair();
  const before = JSON.stringify(plan);
  const moved = apply(plan, { name: "move", id: "left light", args: { to_m: [0.9, 3, 1.4] } });
  near(moved.lights[0].mount_m, [0.9, 3, 1.4]);
  assert.equal(moved.lights[1], plan.lights[1]);
  near(apply(plan, { name: "move", id: "glow strip", args: { corner: 1, to_m: [1, 2.977, 1] } }).strips[0].path_m[1], [1, 2.977, 1]);
  near(apply(plan, { name: "move", ids: ["mattress", "bed frame"], args: { by_m: [0.1, 0, 0] } }).furniture[1].at_m, [1.9, 1.9, 0.37]);
  assert.equal(apply(plan, { name: "set", id: "left", args: { field: "page.gaze_down_deg", value: 50 } }).people[0].page.gaze_down_deg, 50);
  assert.equal(apply(plan, { name: "level", args: { setup: "all off", of: "glow strip", value: 0.3 } }).setups[5].levels["glow strip"], 0.3);
  assert.equal(JSON.stringify(plan), before);
});
