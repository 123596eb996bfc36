// Claims: what people type for a length is read as the server reads it, refused in a sentence when it is none, and printing reads back.
import assert from "node:assert/strict";
import { test } from "node:test";
import { parse, print, say, grid, Unreadable } from "../../assets/units.js";
import { python } from "./python.mjs";

const near = (got, want) => assert.ok(Math.abs(got - want) < 1e-9, `${got} is not ${want}`);

const LENGTHS = [
  "137", "137 cm", "1.37 m", "1,37 m", "1370 mm", "1370mm", "1 m 37", "1m37cm", "2 m 5 cm", "4 ft 6 in", "4'6\"", "4' 6", "4 feet 6 inches", "4 ft", "54 in",
  "54\"", "54''", "54 1/2 in", "54-1/2 in", "54½ in", "½ in", "3/4 in", "4 ft 6 1/2 in", "4′ 6½″", "0", "-12 cm", "−12 cm", ".5 m", "5 ft. 6 in.", "  2   m ",
  "55-60 cm", "55–60 cm", "55 to 60 cm", "55 cm - 60 cm", "55..60", "between 55 and 60 cm", "1 ft 2 in - 1 ft 4 in", "4-5 ft", "60 +/- 2 cm", "60±2", "about 2 m", "~60 cm", "ca. 60",
];
const REFUSED = [
  "", "high", "4 furlongs", "12 cm 3 m", "60-55 cm", "1/0 in", "5 6 7", "12cm34", "5 ft 14 in", "3 5/4 in", "1,200", "1,200 mm", "60 +/- -2", "ten", "4''6", "1e3", "2 m 130",
];

test("one length in every way of writing it gives the same metres", () => {
  for (const text of ["54 in", "4 ft 6 in", "4'6\"", "4' 6", "54\"", "137.16", "1.3716 m", "1371.6 mm"]) near(parse(text), 1.3716);
  near(parse("54", "ft-in"), 1.3716);
  near(parse("4 ft 6½ in"), 54.5 * 0.0254);
});

test("a range keeps both ends, and the unit at the end speaks for both", () => {
  for (const text of ["55-60 cm", "55–60 cm", "55 to 60 cm", "between 55 and 60 cm", "57.5 +/- 2.5 cm"]) {
    const [low, high] = parse(text);
    near(low, 0.55);
    near(high, 0.6);
  }
});

test("what is not a length is refused with the text that was typed", () => {
  for (const text of REFUSED) {
    assert.throws(() => parse(text), (error) => error instanceof Unreadable && error.message.includes(`"${text}"`), text);
  }
});

test("every length here, and every refusal, is the server's own", (context) => {
  const script = [
    "import json,sys", "from lumen.units import read, UnitError, show_feet_inches", "out=[]", "asked=json.load(sys.stdin)",
    "for text in asked['texts']:", "    for unit in ('cm','in'):", "        try: out.append(read(text, 'length', unit).amount())", "        except UnitError: out.append(None)",
    "json.dump({'read':out,'shown':[show_feet_inches(x) for x in asked['metres']]},sys.stdout)",
  ].join("\n");
  const texts = [...LENGTHS, ...REFUSED];
  const metres = Array.from({ length: 300 }, (_, i) => i * 0.01234 - 0.3);
  const told = python(script, { texts, metres });
  if (!told) return context.skip("no Python with the project's imports at hand");
  texts.forEach((text, i) => {
    ["cm", "ft-in"].forEach((system, k) => {
      let mine;
      try {
        mine = parse(text, system);
      } catch {
        mine = null;
      }
      const theirs = told.read[2 * i + k];
      const same = JSON.stringify([mine].flat().map((v) => v?.toPrecision(9))) === JSON.stringify([theirs].flat().map((v) => v?.toPrecision(9)));
      assert.ok(same, `"${text}" in ${system}: ${mine} against ${theirs}`);
    });
  });
  assert.deepEqual(metres.map((value) => print(value, "ft-in")), told.shown);
});

test("printing gives tape-measure words", () => {
  assert.equal(print(1.37), "137 cm");
  assert.equal(print(1.025), "102.5 cm");
  assert.equal(print(-0.0001), "0 cm");
  assert.equal(print(54.5 * 0.0254, "ft-in"), "4' 6 1/2\"");
  assert.equal(print(48 * 0.0254, "ft-in"), "4' 0\"");
  assert.equal(print(0.75 * 0.0254, "ft-in"), "3/4\"");
  assert.equal(print(11.999 * 0.0254, "ft-in"), "1' 0\"");
  assert.equal(say(1.37), "1.37 m");
  assert.equal(say(0.62), "62 cm");
  assert.equal(say(48 * 0.0254, "ft-in"), "4 ft");
  assert.equal(say(54.5 * 0.0254, "ft-in"), "4 ft 6 1/2 in");
  assert.equal(say(0, "ft-in"), "0 in");
});

test("a printed length reads back to the nearest mark of the tape", () => {
  for (let i = 0; i < 400; i += 1) {
    const metres = i * 0.00731;
    assert.ok(Math.abs(parse(print(metres)) - metres) <= 0.0005 + 1e-9);
    assert.ok(Math.abs(parse(print(metres, "ft-in"), "ft-in") - metres) <= 0.0254 / 32 + 1e-9);
  }
});

test("the snapping step is one centimetre or a quarter inch", () => {
  near(grid("cm"), 0.01);
  near(grid("ft-in"), 0.00635);
});
