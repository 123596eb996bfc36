// Claims: what is set is in place before anybody is told; each subscriber is told once, and only of a change.
import assert from "node:assert/strict";
import { test } from "node:test";
import { createStore } from "../../assets/store.js";

test("all names of one change are in place before anybody is told, and each is told once", () => {
  const store = createStore({ a: 1, b: 2, c: 3 });
  const told = [];
  store.subscribe(["a", "b"], (now, changed) => told.push([now.a, now.b, [...changed]]));
  store.subscribe(["c"], () => told.push("c"));
  store.set({ a: 10, b: 20 });
  assert.deepEqual(told, [[10, 20, ["a", "b"]]]);
});

test("the same value is no change, and undefined is none", () => {
  const plan = { title: "x" };
  const store = createStore({ plan, setup: "night" });
  let told = 0;
  store.subscribe(["plan", "setup"], () => (told += 1));
  store.set({ plan, setup: undefined });
  assert.equal(told, 0);
  assert.equal(store.now.setup, "night");
  store.set({ plan: { ...plan } });
  assert.equal(told, 1);
});

test("what is set while others are told is told after them, in order", () => {
  const store = createStore({ a: 0, b: 0 });
  const told = [];
  store.subscribe(["a"], (now) => {
    if (now.a === 1) store.set({ b: 1 });
    told.push(`first a${now.a} b${now.b}`);
  });
  store.subscribe(["a", "b"], (now) => told.push(`second a${now.a} b${now.b}`));
  store.set({ a: 1 });
  assert.deepEqual(told, ["first a1 b0", "second a1 b0", "second a1 b1"]);
});

test("who stops is told no more, and one who fails keeps nobody else from being told", (context) => {
  const errors = context.mock.method(console, "error", () => {});
  const store = createStore({ a: 0 });
  const told = [];
  const stop = store.subscribe(["a"], () => told.push("gone"));
  store.subscribe(["a"], () => {
    throw new Error("broken");
  });
  store.subscribe(["a"], () => told.push("here"));
  stop();
  store.set({ a: 1 });
  assert.deepEqual(told, ["here"]);
  assert.equal(errors.mock.callCount(), 1);
  store.set({ a: 2 });
  assert.deepEqual(told, ["here", "here"]);
});
