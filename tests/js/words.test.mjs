// Claims: the browser prints a number exactly as lumen/words/figures.py does.
import assert from "node:assert/strict";
import { test } from "node:test";
import { amount, about, watts, amperes } from "../../assets/words.js";
import { python } from "./python.mjs";


test("the examples of the server's own documentation", () => {
  assert.deepEqual([291.37, 12.34, 4.26, 0.123, 1834.0, 0.0].map(amount), ["290", "12", "4.3", "0.12", "1830", "0"]);
  assert.equal(about(291.37, 233, 348), "about 290 lx (230-350)");
  assert.equal(about(0.03, 0.02, 0.04), "under 0.1 lx");
  assert.deepEqual([watts(91.6), watts(5.5)], ["92 W", "5.5 W"]);
  assert.deepEqual([amperes(0.7634), amperes(14.62)], ["0.76 A", "14.6 A"]);
});

test("four thousand numbers, ties and powers of ten among them, read the same in Python", (context) => {
  const values = [];
  for (let i = 1; i <= 2000; i += 1) values.push(i / 8, (i * i * 7919) % 10007 / 997);
  for (let p = -4; p <= 5; p += 1) for (const f of [1, 9.95, 0.995, 1.05, 2.5, 12.5]) values.push(f * 10 ** p);
  const script =
    "import json,sys\nfrom lumen.words.figures import amount,watts,amperes\n" +
    "v=json.load(sys.stdin)\njson.dump([[amount(x),watts(x),amperes(x)] for x in v],sys.stdout)";
  const wanted = python(script, values);
  if (!wanted) return context.skip("no Python with the project's imports at hand");
  values.forEach((value, i) => assert.deepEqual([amount(value), watts(value), amperes(value)], wanted[i], String(value)));
});
