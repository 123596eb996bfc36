// Claims: undo and redo walk whole plans without losing any; redo falls only to a real edit; the keeper survives a full store.
import assert from "node:assert/strict";
import { test } from "node:test";
import { start, record, undo, redo, can, keeper, CAP } from "../../assets/history.js";

const plan = (n) => ({ title: `plan ${n}`, lights: [{ id: "a", mount_m: [n, 0, 1] }] });
const walk = (...steps) => steps.reduce((state, n) => record(state, plan(n)), null);

test("undo returns every earlier plan in turn and redo brings each back", () => {
  let state = walk(1, 2, 3);
  const seen = [];
  while (can(state).undo) {
    state = undo(state);
    seen.push(state.present.title);
  }
  assert.deepEqual(seen, ["plan 2", "plan 1"]);
  state = redo(redo(state));
  assert.deepEqual(state, walk(1, 2, 3));
});

test("undo and redo at the end of the line give the very same state", () => {
  const state = start(plan(1));
  assert.equal(undo(state), state);
  assert.equal(redo(state), state);
});

test("an edit that changes nothing is not a step and keeps redo", () => {
  const state = undo(walk(1, 2));
  const reordered = { lights: [{ mount_m: [1, 0, 1], id: "a" }], title: "plan 1" };
  assert.equal(record(state, reordered), state);
  assert.equal(can(state).redo, true);
});

test("a real edit after undo clears redo", () => {
  const state = record(undo(walk(1, 2)), plan(3));
  assert.deepEqual(can(state), { undo: true, redo: false, undoSteps: 1, redoSteps: 0 });
});

test("a hundred steps are kept, the oldest falls first", () => {
  const state = walk(...Array.from({ length: 150 }, (_, i) => i));
  assert.equal(state.past.length, CAP);
  assert.equal(state.past[0].title, "plan 49");
});

test("states are never changed in place", () => {
  const state = walk(1, 2, 3);
  const before = JSON.stringify(state);
  undo(state);
  record(state, plan(9));
  redo(undo(state));
  assert.equal(JSON.stringify(state), before);
});

function clock() {
  const jobs = new Map();
  let now = 0, next = 1;
  return {
    setTimeout: (job, wait) => (jobs.set(next, { job, at: now + wait }), next++),
    clearTimeout: (id) => jobs.delete(id),
    pass(ms) {
      now += ms;
      for (const [id, { job, at }] of [...jobs]) if (at <= now && jobs.delete(id)) job();
    },
  };
}

function shelf(roomFor = Infinity) {
  const held = new Map();
  return {
    held,
    writes: 0,
    getItem: (key) => held.get(key) ?? null,
    setItem(key, text) {
      if (text.length > roomFor) throw new Error("QuotaExceededError");
      this.writes += 1;
      held.set(key, text);
    },
    removeItem: (key) => held.delete(key),
  };
}

test("many quick edits are one write, made within two seconds of the first", () => {
  const timer = clock(), storage = shelf();
  const kept = keeper({ storage, timer });
  for (let i = 1; i <= 20; i += 1) {
    kept.save(walk(1, i + 1));
    timer.pass(30); // a steady hand must not put the write off for ever
  }
  timer.pass(1390);
  assert.ok(storage.writes >= 1 && storage.writes <= 2, `${storage.writes} writes`);
  assert.equal(keeper({ storage, timer }).load().present.title, "plan 21");
});

test("a reload finds past, present and future as they were", () => {
  const timer = clock(), storage = shelf();
  const state = undo(walk(1, 2, 3));
  const kept = keeper({ storage, timer });
  kept.save(state);
  kept.flush();
  assert.deepEqual(keeper({ storage, timer }).load(), state);
});

test("a full store lets go of old steps before the plan, and says so only when even that does not fit", () => {
  const timer = clock(), troubles = [];
  const state = walk(...Array.from({ length: 60 }, (_, i) => i));
  const tight = shelf(1200);
  const kept = keeper({ storage: tight, timer, onTrouble: (text) => troubles.push(text) });
  kept.save(state);
  kept.flush();
  const found = kept.load();
  assert.equal(found.present.title, "plan 59");
  assert.ok(found.past.length > 0 && found.past.length < 60);
  assert.equal(found.past.at(-1).title, "plan 58");
  assert.deepEqual(troubles, []);
  const none = keeper({ storage: shelf(10), timer, onTrouble: (text) => troubles.push(text) });
  none.save(state);
  none.flush();
  assert.match(troubles[0], /save it to a file/);
});

test("a torn, foreign or forbidden store is as good as an empty one", () => {
  for (const text of ["{", "null", '{"format":"other/1"}', '{"format":"lumen-history/1","past":[]}']) {
    assert.equal(keeper({ storage: { getItem: () => text } }).load(), null);
  }
  assert.equal(keeper({ storage: { getItem() { throw new Error("SecurityError"); } } }).load(), null);
});
