// Claims: what people type for a length is read, what cannot be read is refused in a sentence, and printing reads back.
import assert from "node:assert/strict";
import { test } from "node:test";
import { lumen } from "./load.mjs";

const { parse, print, say, grid, Unreadable } = lumen.units;
const near = (got, want) => assert.ok(Math.abs(got - want) < 1e-9, `${got} is not ${want}`);

test("one length in every way of writing it gives the same metres", () => {
  for (const [text, metres] of [
    ["137", 1.37], ["137 cm", 1.37], ["1.37 m", 1.37], ["1,37 m", 1.37], ["1370 mm", 1.37], ["1370mm", 1.37],
    ["4 ft 6 in", 54 * 0.0254], ["4'6\"", 54 * 0.0254], ["4' 6", 54 * 0.0254], ["4 feet 6 inches", 54 * 0.0254],
    ["4 ft", 48 * 0.0254], ["54 in", 54 * 0.0254], ["54\"", 54 * 0.0254], ["54 1/2 in", 54.5 * 0.0254],
    ["54½ in", 54.5 * 0.0254], ["½ in", 0.5 * 0.0254], ["3/4 in", 0.75 * 0.0254], ["4 ft 6 1/2 in", 54.5 * 0.0254],
    ["4 ft 1/4 in", 48.25 * 0.0254], ["about 2 m", 2], ["0", 0], ["-12 cm", -0.12],
  ]) near(parse(text), metres);
});

test("a bare number is inches where feet and inches are in use", () => near(parse("54", "ft-in"), 54 * 0.0254));

test("a range keeps both ends, and the unit at the end speaks for both", () => {
  for (const text of ["55-60 cm", "55–60 cm", "about 55 to 60 cm", "55 cm - 60 cm", "55-60"]) {
    const [low, high] = parse(text);
    near(low, 0.55);
    near(high, 0.6);
  }
  near(parse("1 ft 2 in - 1 ft 4 in")[1], 16 * 0.0254);
});

test("what is not a length is refused with the text that was typed", () => {
  for (const text of ["", "high", "4 furlongs", "12 cm 3 m", "60-55 cm", "1/0 in", "5 6 7", "12cm34", "--3"]) {
    assert.throws(() => parse(text), (error) => error instanceof Unreadable && error.message.includes(`"${text}"`), text);
  }
});

test("printing gives tape-measure words", () => {
  assert.equal(print(1.37), "137 cm");
  assert.equal(print(1.025), "102.5 cm");
  assert.equal(print(-0.0001), "0 cm");
  assert.equal(print(54.5 * 0.0254, "ft-in"), "4 ft 6 1/2 in");
  assert.equal(print(48 * 0.0254, "ft-in"), "4 ft");
  assert.equal(print(0, "ft-in"), "0 in");
  assert.equal(print(0.75 * 0.0254, "ft-in"), "3/4 in");
  assert.equal(print(11.999 * 0.0254, "ft-in"), "1 ft");
  assert.equal(say(1.37), "1.37 m");
  assert.equal(say(0.62), "62 cm");
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
