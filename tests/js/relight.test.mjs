// Claims: a setup is the weighted sum of its lights' maps; the tone curve is fixed, even and monotone; sums are fast enough.
import assert from "node:assert/strict";
import { test } from "node:test";
import * as Levels from "../../assets/levels.js";
import { prepare, merge, weights, illuminance, luminance, tone, pixels, finer, fullShares, levelsOf, coloured, tints, floats } from "../../assets/relight.js";


const fields = (scale = 1) => ({
  sources: ["a", "b"],
  tint: { a: [1.5, 0.9, 0.4], b: [1, 1, 1] },
  grids: {
    wall: {
      corner_m: [0, 3, 0], origin_m: [0, 0], u: [1, 0, 0], v: [0, 0, 1], size_m: [0.4, 0.2], nu: 2, nv: 1, reflectance: 0.5, colour: null,
      direct: { a: [10 * scale, 20 * scale], b: [1, 2] },
      bounced: { a: [1, 1], b: [0.5, 0.5] },
    },
  },
});

test("illuminance is linear in the levels and splits into direct and bounced", () => {
  const ready = prepare(fields());
  const grid = ready.grids.wall;
  const w = weights(ready, { a: 0.5, b: 1 });
  assert.deepEqual([...illuminance(grid, w)], [7, 13]);
  assert.deepEqual([...illuminance(grid, w, "direct")], [6, 12]);
  assert.deepEqual([...illuminance(grid, w, "bounced")], [1, 1]);
  assert.deepEqual([...illuminance(grid, weights(ready, {}))], [0, 0]);
});

test("a page that is read stands at the lux on it, in the light's own colour; a screen at 1; nobody reads elsewhere", () => {
  const written = fields();
  written.sources = ["a", "b", "screen:q", "page:p"];
  written.tint["screen:q"] = [0.9, 1, 1.3];
  written.tint["page:p"] = [1, 1, 1];
  for (const part of ["direct", "bounced"]) Object.assign(written.grids.wall[part], { "screen:q": [4, 4], "page:p": [0.01, 0.02] });
  written.pages = { "page:p": { a: 300, b: 10, "screen:q": 5 } };
  written.reading = { s: ["page:p", "screen:p", "page:q", "screen:q"], t: [] };
  const ready = prepare(written);
  assert.deepEqual([...weights(ready, { a: 0.5 }, "s")], [0.5, 0, 1, 155]);
  assert.deepEqual([...weights(ready, { a: 0.5 }, "t")], [0.5, 0, 0, 0]);
  assert.deepEqual([...weights(ready, { a: 0.5 })], [0.5, 0, 0, 0]);
  const [r, g, b] = tints(ready, weights(ready, { a: 0.5 }, "s"))[3];
  [(150 * 1.5 + 5 * 0.9) / 155, (150 * 0.9 + 5) / 155, (150 * 0.4 + 5 * 1.3) / 155].forEach((value, k) => assert.ok(Math.abs([r, g, b][k] - value) < 1e-6));
  const moved = merge(ready, { sources: ["a"], tint: {}, grids: {}, pages: { "page:p": { a: 100 } }, reading: { s: ["page:p"] } });
  assert.deepEqual([...weights(moved, { a: 1 }, "s")], [1, 0, 0, 100]);
});

test("a matt surface's luminance is rho E / pi, in each light's own colour", () => {
  const ready = prepare(fields());
  const rgb = luminance(ready.grids.wall, weights(ready, { b: 1 }), ready.tint);
  assert.ok(Math.abs(rgb[0] - (0.5 * 1.5) / Math.PI) < 1e-6);
  const warm = luminance(ready.grids.wall, weights(ready, { a: 1 }), ready.tint);
  assert.ok(Math.abs(warm[0] / warm[2] - 1.5 / 0.4) < 1e-5);
});

test("a coloured paint keeps the reflectance on its card as its luminance", () => {
  const [r, g, b] = coloured(0.4, "#b0623c");
  assert.ok(Math.abs(0.2126 * r + 0.7152 * g + 0.0722 * b - 0.4) < 1e-9); // Rec. 709 luminance of sRGB primaries
  assert.ok(r > g && g > b);
  assert.deepEqual(coloured(0.4, null), [0.4, 0.4, 0.4]);
});

test("a preview replaces only the moved light's map and leaves the first set untouched", () => {
  const ready = prepare(fields());
  const moved = fields(3);
  moved.sources = ["a"];
  delete moved.grids.wall.direct.b;
  delete moved.grids.wall.bounced.b;
  const next = merge(ready, moved);
  assert.deepEqual([...illuminance(next.grids.wall, weights(next, { a: 1, b: 1 }))], [32.5, 63.5].map((v) => v - 0));
  assert.deepEqual([...illuminance(ready.grids.wall, weights(ready, { a: 1 }))], [11, 21]);
});

test("a preview on another mesh is not mixed in", () => {
  const ready = prepare(fields());
  const other = fields(3);
  other.grids.wall.nu = 3;
  assert.equal(merge(ready, other).grids.wall, ready.grids.wall);
});

test("the tone curve is dark at nothing, never falls, never clips hard, and is the same for every picture", () => {
  assert.equal(tone(0, 25), 0);
  let last = -1;
  for (let L = 0; L < 200; L += 0.5) {
    const now = tone(L, 25);
    assert.ok(now > last && now < 255);
    last = now;
  }
  // sRGB of 1 - 1/e: IEC 61966-2-1
  assert.ok(Math.abs(tone(25, 25) - 255 * (1.055 * (1 - Math.exp(-1)) ** (1 / 2.4) - 0.055)) < 1e-9);
});

test("pixels follow the curve to one code and turn the map the right way up", () => {
  const rgb = Float32Array.from([0, 5, 25, 80, 1, 200, 0.1, 0.2, 0.3, 3, 30, 300]);
  const bytes = pixels(rgb, 2, 2, 25);
  const top = [...rgb.slice(6)], bottom = [...rgb.slice(0, 6)];
  [...top, ...bottom].forEach((value, i) => {
    const at = 4 * Math.floor(i / 3) + (i % 3);
    assert.ok(Math.abs(bytes[at] - tone(value, 25)) <= 1.5, `${value}: ${bytes[at]} against ${tone(value, 25)}`);
  });
  assert.equal(bytes[3], 255);
});

test("drawing a map finer keeps a plain slope plain and its cell middles as they are", () => {
  const nu = 6, nv = 5;
  const rgb = new Float32Array(3 * nu * nv);
  for (let j = 0; j < nv; j += 1) for (let i = 0; i < nu; i += 1) rgb.fill(2 * i + 7 * j, 3 * (j * nu + i), 3 * (j * nu + i) + 3);
  const fine = finer(rgb, nu, nv, 3);
  for (let j = 1; j < 3 * nv - 1; j += 1) {
    for (let i = 1; i < 3 * nu - 1; i += 1) {
      const wanted = 2 * ((i + 0.5) / 3 - 0.5) + 7 * ((j + 0.5) / 3 - 0.5);
      assert.ok(Math.abs(fine[3 * (j * 3 * nu + i)] - wanted) < 1e-4);
    }
  }
});

test("numbers may come as a list or as float32 in base64", () => {
  const bytes = Buffer.from(Float32Array.from([1.5, -2, 300]).buffer).toString("base64");
  assert.deepEqual([...floats(bytes)], [1.5, -2, 300]);
});

test("shares at full level are read back from whichever setup lights them", () => {
  const plan = { lights: [{ id: "a" }, { id: "b" }], setups: [{ id: "s", levels: { a: 0.5 } }, { id: "t", levels: { b: 0.25 } }] };
  const study = {
    planes: [
      { target: "floor", setup: "s", by_source: [{ id: "a", direct_lx: 2, bounced_lx: 1 }] },
      { target: "floor", setup: "t", by_source: [{ id: "b", direct_lx: 1, bounced_lx: 1 }] },
    ],
  };
  assert.deepEqual(fullShares(plan, study, "floor"), { a: { direct_lx: 4, bounced_lx: 2 }, b: { direct_lx: 4, bounced_lx: 4 } });
  assert.deepEqual(levelsOf(plan, "everything on"), { a: 1, b: 1 });
});

test("a level is what the light can give: on or off, and no lower than its lowest", () => {
  const ready = { sources: ["a", "b", "c", "d"], dimming: { a: { on_off: true, lowest: 0 }, b: { on_off: false, lowest: 0.25 }, d: { on_off: true } } };
  assert.deepEqual([...weights(ready, { a: 0.5, b: 0.125, c: 0.5, d: 0 })], [1, 0.25, 0.5, 0]);
  const plan = { lights: [{ id: "a" }], setups: [{ id: "s", levels: { a: 0.5 } }] };
  const study = {
    dimming: { a: { on_off: true, lowest: 0 } },
    planes: [{ target: "floor", setup: "s", average_lx: 3, by_source: [{ id: "a", direct_lx: 2, bounced_lx: 1 }] }],
  };
  assert.deepEqual(fullShares(plan, study, "floor"), { a: { direct_lx: 2, bounced_lx: 1 } });
  assert.equal(Levels.quick(plan, study, { a: 0.3 }, "s").planes[0].average_lx, 3);
});
