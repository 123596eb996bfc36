// Claims: lines of sight are drawn only when they were asked for, and only where they hurt.
import assert from "node:assert/strict";
import { test } from "node:test";
import * as Sights from "../../assets/sights.js";

const lines = [
  { light: "left light", places: ["a"], start: [0, 0, 1], end: [1, 0, 1], harsh: true },
  { light: "left light", places: ["b"], start: [0, 1, 1], end: [1, 0, 1], harsh: false },
  { light: "right light", places: ["c"], start: [0, 2, 1], end: [2, 0, 1], harsh: true },
];

test("an eye is named by how its owner lies or stands", () => {
  assert.equal(Sights.posture(["Left's eyes, lying back", "Left's eyes, lying left"]), "lying");
  assert.equal(Sights.posture(["Right's eyes, door"]), "door");
});

test("nobody asked: nothing is drawn", () => {
  assert.deepEqual(Sights.wanted(lines), []);
});

test("the open answer shows every line, harsh or not", () => {
  assert.equal(Sights.wanted(lines, { open: true, selection: [] }).length, 3);
});

test("a light in the hand shows its own harsh lines", () => {
  assert.deepEqual(Sights.wanted(lines, { selection: ["left light"] }), [lines[0]]);
  assert.deepEqual(Sights.wanted(lines, { selection: ["bed"] }), []);
});
