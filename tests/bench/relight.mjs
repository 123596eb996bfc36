// Script time of one slider step: 4,000 surface cells x 12 lights to screen colours and contours, in node.
// Printed, not tested: the same work once more by a plain loop is the measure in the same run.
import * as Colours from "../../assets/colours.js";
import * as Contours from "../../assets/contours.js";
import * as Relight from "../../assets/relight.js";

const SOURCES = 12, NU = 80, NV = 50, ROUNDS = 200;
const map = () => Float32Array.from({ length: NU * NV }, () => 300 * Math.random() ** 4);
const sources = Array.from({ length: SOURCES }, (_, i) => `light ${i}`);
const part = () => Object.fromEntries(sources.map((id) => [id, map()]));
const ready = Relight.prepare({
  sources,
  tint: Object.fromEntries(sources.map((id) => [id, [1.4, 0.95, 0.5]])),
  grids: { wall: { origin_m: [0, 0], size_m: [4, 2.5], nu: NU, nv: NV, reflectance: 0.7, colour: null, direct: part(), bounced: part() } },
});
const grid = ready.grids.wall;
const weights = Float32Array.from({ length: SOURCES }, () => Math.random());

function time(name, work) {
  const took = [];
  for (let i = 0; i < ROUNDS; i += 1) {
    const from = performance.now();
    work();
    took.push(performance.now() - from);
  }
  took.sort((a, b) => a - b);
  const [middle, late] = [took[ROUNDS / 2], took[Math.floor(0.95 * ROUNDS)]];
  console.log(`${name.padEnd(46)} median ${middle.toFixed(2)} ms, 95 % under ${late.toFixed(2)} ms`);
  return middle;
}

const plain = time("the same sum as a plain loop over arrays", () => {
  const rgb = new Float32Array(3 * NU * NV);
  for (let s = 0; s < SOURCES; s += 1) {
    for (let i = 0; i < NU * NV; i += 1) {
      for (let k = 0; k < 3; k += 1) rgb[3 * i + k] += weights[s] * ready.tint[s][k] * (grid.direct[s][i] + grid.bounced[s][i]);
    }
  }
});
const rgb = Relight.luminance(grid, weights, ready.tint);
const sum = time("weighted sum of 12 maps in colour", () => Relight.luminance(grid, weights, ready.tint));
const shown = time("tone curve of the cells themselves", () => Relight.pixels(rgb, NU, NV, 25));
const fine = time("drawn four times finer, tone curve", () => Relight.pixels(Relight.finer(rgb, NU, NV, 4), 4 * NU, 4 * NV, 25));
const lines = time("lux map: sum, colours, eleven contours", () => {
  const lx = Relight.illuminance(grid, weights);
  Colours.lux(lx, NU, NV);
  for (const level of Colours.TICKS) Contours.lines(lx, NU, NV, level);
});
console.log(`one slider step: ${(sum + shown).toFixed(2)} ms bare, ${(sum + fine).toFixed(2)} ms as drawn, ${lines.toFixed(2)} ms as a map (noise, the worst field)`);
console.log(`as drawn = ${((sum + fine) / plain).toFixed(1)} x the plain loop`);
