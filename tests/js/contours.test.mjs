// Claims: contour lines lie where the field has their level, close when they can, and their labels lie on them.
import assert from "node:assert/strict";
import { test } from "node:test";
import { lines, label } from "../../assets/contours.js";


function field(nu, nv, f) {
  return Float32Array.from({ length: nu * nv }, (_, k) => f(k % nu, Math.floor(k / nu)));
}

test("round a peak that falls off as exp(-r) each level is one closed circle of the radius it must have", () => {
  // lines are cut on a logarithmic slope, on which this cone is straight, so the circle is exact but for the cell's corner
  const n = 61, c = 30;
  const peak = field(n, n, (i, j) => 1000 * Math.exp(-Math.hypot(i - c, j - c) / 6));
  for (const level of [500, 100, 50, 20]) {
    const found = lines(peak, n, n, level);
    assert.equal(found.length, 1);
    assert.ok(found[0].closed);
    const radius = 6 * Math.log(1000 / level);
    for (const [i, j] of found[0].points) assert.ok(Math.abs(Math.hypot(i - c, j - c) - radius) < 0.08, `${level}`);
  }
});

test("a slope gives one open line from edge to edge, straight where it is straight", () => {
  const slope = field(20, 10, (i) => Math.exp(i / 4));
  const [line, ...rest] = lines(slope, 20, 10, Math.exp(2.5));
  assert.equal(rest.length, 0);
  assert.equal(line.closed, false);
  assert.equal(line.points.length, 10);
  for (const [i] of line.points) assert.ok(Math.abs(i - 10) < 1e-4);
});

test("two pools of light are two rings, and at a saddle lines never cross", () => {
  const two = field(60, 30, (i, j) => 100 * (Math.exp(-((i - 15) ** 2 + (j - 15) ** 2) / 30) + Math.exp(-((i - 45) ** 2 + (j - 15) ** 2) / 30)));
  const rings = lines(two, 60, 30, 50);
  assert.equal(rings.length, 2);
  assert.ok(rings.every((ring) => ring.closed));
  for (const corners of [[2, 0, 2, 0], [0, 2, 0, 2]]) {
    const saddle = Float32Array.from([corners[0], corners[1], corners[3], corners[2]]);
    const found = lines(saddle, 2, 2, 1.2);
    assert.equal(found.length, 2);
    assert.ok(found.every((line) => line.points.length === 2));
  }
});

test("every crossed edge is used once: the lines together have as many points as the grid has crossings", () => {
  const nu = 23, nv = 17;
  const rough = field(nu, nv, (i, j) => 10 + 8 * Math.sin(i * 0.9) * Math.cos(j * 0.7) + Math.sin(i * j));
  const level = 9.3;
  let crossings = 0;
  for (let j = 0; j < nv; j += 1) {
    for (let i = 0; i < nu; i += 1) {
      const here = rough[j * nu + i] > level;
      if (i + 1 < nu && here !== rough[j * nu + i + 1] > level) crossings += 1;
      if (j + 1 < nv && here !== rough[(j + 1) * nu + i] > level) crossings += 1;
    }
  }
  const points = lines(rough, nu, nv, level).reduce((sum, line) => sum + line.points.length - (line.closed ? 1 : 0), 0);
  assert.equal(points, crossings);
});

test("dark and bright fields have no lines, and a short line no label", () => {
  assert.deepEqual(lines(field(5, 5, () => 0), 5, 5, 1), []);
  assert.deepEqual(lines(field(5, 5, () => 9), 5, 5, 1), []);
  assert.equal(label([[0, 0], [1, 1]]), null);
});

test("a label lies on its line, by the middle of a straight one", () => {
  const points = Array.from({ length: 41 }, (_, i) => [i, 3]);
  const spot = label(points);
  assert.deepEqual(spot.at, [20, 3]);
  assert.equal(spot.angle, 0);
});
