// Claims: the cell under a light is told, the edge that comes near is named with how far off it is, and only where cells lie apart.
import assert from "node:assert/strict";
import { test } from "node:test";
import * as Patch from "../../assets/patch.js";

const STEP = 0.1;
const steps = [-3, -2, -1, 0, 1, 2, 3];

/** Seven by seven cells about (1, 1); from two steps up the bulb glares, from three to the right a shelf is in the way. */
function made() {
  const cells = steps.flatMap((j) =>
    steps.map((i) => ({
      along_m: 1 + i * STEP, up_m: 1 + j * STEP, mount_m: [1 + i * STEP, 3, 1 + j * STEP],
      met: j >= 2 ? 3 : 4, why: j >= 2 ? [0] : [], against: i >= 3 ? [1] : [],
    }))
  );
  return { light: "lamp", step_m: STEP, right: [1, 0, 0], here: [1, 1], of: 4, words: ["it glares", "the shelf is in the way"], cells };
}

test("the nearer edge is named, and how far off it is", () => {
  const found = Patch.about(made(), [1, 3, 1]);
  assert.equal(found.met, 4);
  assert.equal(found.near.way, "higher");
  assert.deepEqual(found.near.words, ["it glares"]);
  assert.ok(Math.abs(found.near.away_m - 0.15) < 1e-9);
});

test("a hand that moves the light nears one edge and leaves the other", () => {
  const higher = Patch.about(made(), [1, 3, 1.12]);
  assert.equal(higher.near.way, "higher");
  assert.ok(Math.abs(higher.near.away_m - 0.03) < 1e-9);
  const right = Patch.about(made(), [1.2, 3, 0.8]);
  assert.equal(right.near.way, "to the right");
  assert.deepEqual(right.near.words, ["the shelf is in the way"]);
  assert.ok(Math.abs(right.near.away_m - 0.05) < 1e-9);
});

test("what breaks already where the light is, is no edge", () => {
  const found = Patch.about(made(), [1, 3, 1.25]);
  assert.equal(found.met, 3);
  assert.deepEqual(found.why, ["it glares"]);
  assert.notEqual(found.near?.way, "higher");
});

test("the sentence says what holds, what is best and what is near", () => {
  const print = (metres) => `${Math.round(100 * metres)} cm`;
  const said = Patch.say(Patch.about(made(), [1, 3, 1.25]), "left light", print);
  assert.match(said, /^Left light here: 3 of 4 wishes hold, at best 4 elsewhere\./);
  assert.match(Patch.say(Patch.about(made(), [1, 3, 1]), "lamp", print), /no place meets more as it is\. 15 cm higher: it glares\./);
  assert.match(Patch.say(Patch.about(made(), [1.3, 3, 1]), "lamp", print), /It may not hang here: the shelf is in the way\./);
});

test("cells that fall on each other on a drawing are not drawn there", () => {
  const patch = made();
  const wall = ([x, , z]) => [100 * x, -100 * z], above = ([x, y]) => [100 * x, 100 * y];
  assert.ok(Patch.fits(patch, wall));
  assert.ok(!Patch.fits(patch, above));
});
