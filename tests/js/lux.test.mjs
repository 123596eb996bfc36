// Claims: the words under a map of light speak of places where somebody can be, and of no others.
import { test } from "node:test";
import assert from "node:assert/strict";
import * as Lux from "../../assets/lux.js";

test("cells inside furniture are not counted among the least and the most", () => {
  const values = Float32Array.from([0, 5.3, 210, 2900]);
  assert.equal(Lux.describe(values, "0110"), "from about 5.3 to about 210 lx");
});

test("a map that does not say which cells are free is described whole", () => {
  assert.equal(Lux.describe(Float32Array.from([20, 30])), "from about 20 to about 30 lx");
});
