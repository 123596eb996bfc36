// Claims: the lux scale is even to the eye, climbs in lightness for any colour vision, and is the same ratio everywhere.
import assert from "node:assert/strict";
import { test } from "node:test";
import { RAMP, SCALE, place, ofLux, toOklab, fromOklab } from "../../assets/colours.js";


test("OKLab of the primaries as published", () => {
  // B. Ottosson 2020; CSS Color Module Level 4, section 9.3: oklab of white, sRGB red, green, blue
  for (const [rgb, lab] of [
    [[255, 255, 255], [1, 0, 0]], [[255, 0, 0], [0.62796, 0.22486, 0.12585]],
    [[0, 255, 0], [0.86644, -0.23389, 0.1795]], [[0, 0, 255], [0.45201, -0.03246, -0.31153]],
  ]) {
    toOklab(rgb).forEach((value, k) => assert.ok(Math.abs(value - lab[k]) < 5e-4, `${rgb}: ${value} against ${lab[k]}`));
    assert.deepEqual(fromOklab(...toOklab(rgb)), rgb);
  }
});

test("equal steps along the ramp are equal steps in OKLab, to a fifth of their mean", () => {
  const stops = Array.from({ length: 33 }, (_, i) => toOklab(RAMP[Math.round((i / 32) * (RAMP.length - 1))]));
  const steps = stops.slice(1).map((lab, i) => Math.hypot(...lab.map((value, k) => value - stops[i][k])));
  const mean = steps.reduce((sum, step) => sum + step, 0) / steps.length;
  for (const step of steps) assert.ok(Math.abs(step / mean - 1) < 0.2, `${step} against ${mean}`);
});

test("lightness climbs all the way, so that grey print and any colour vision can read it", () => {
  const sixteenth = Array.from({ length: 17 }, (_, i) => toOklab(RAMP[Math.round((i / 16) * (RAMP.length - 1))])[0]);
  for (let i = 1; i < sixteenth.length; i += 1) assert.ok(sixteenth[i] - sixteenth[i - 1] > 0.02);
});

test("for eyes without red or green cones neighbouring tenths of the scale still differ", () => {
  // Vienot, Brettel, Mollon 1999, linear RGB matrices for dichromats (from memory)
  const protan = [[0.11238, 0.88762, 0], [0.11238, 0.88762, 0], [0.00401, -0.00401, 1]];
  const deutan = [[0.29275, 0.70725, 0], [0.29275, 0.70725, 0], [-0.02234, 0.02234, 1]];
  const linear = (c) => (c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4);
  const code = (v) => 255 * (v <= 0.0031308 ? 12.92 * v : 1.055 * Math.max(0, v) ** (1 / 2.4) - 0.055);
  for (const seen of [protan, deutan]) {
    const labs = Array.from({ length: 11 }, (_, i) => {
      const rgb = RAMP[Math.round((i / 10) * (RAMP.length - 1))].map(linear);
      return toOklab(seen.map((row) => code(row.reduce((sum, value, k) => sum + value * rgb[k], 0))));
    });
    for (let i = 1; i < labs.length; i += 1) {
      assert.ok(Math.hypot(...labs[i].map((value, k) => value - labs[i - 1][k])) > 0.04, `step ${i}`);
    }
  }
});

test("twice the lux is the same way along the scale anywhere on it, and both ends hold", () => {
  const step = place(2) - place(1);
  for (const lx of [0.4, 3, 20, 150, 400]) assert.ok(Math.abs(place(2 * lx) - place(lx) - step) < 1e-12);
  assert.equal(place(0), 0);
  assert.equal(place(SCALE.low_lx / 9), 0);
  assert.equal(place(1e6), 1);
  assert.deepEqual(ofLux(0), RAMP[0]);
});
