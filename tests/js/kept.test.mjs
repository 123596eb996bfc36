// Claims: a plan is kept soon after its first change and never twice at once; versions stand under their plan, in plain time words.
import assert from "node:assert/strict";
import { test } from "node:test";
import * as Kept from "../../assets/kept.js";

/** A clock that runs only when told. */
function clock() {
  const waiting = [];
  return {
    setTimeout: (act, ms) => waiting.push({ act, ms }) - 1,
    clearTimeout: (at) => (waiting[at] = null),
    run() {
      for (const each of waiting.splice(0)) if (each) each.act();
    },
    waits: () => waiting.filter(Boolean).map((each) => each.ms),
  };
}

const soon = () => new Promise((go) => setImmediate(go));

test("many changes are one write, of the newest, within two seconds of the first", async () => {
  const timer = clock();
  const sent = [];
  const keeper = Kept.keeper({ send: (plan) => sent.push(plan), timer });
  for (const plan of ["a", "b", "c"]) keeper.note(plan);
  assert.equal(timer.waits().length, 1);
  assert.ok(timer.waits()[0] < 2000);
  timer.run();
  await soon();
  assert.deepEqual(sent, ["c"]);
});

test("a change during a write waits for it and is written after", async () => {
  const timer = clock();
  const sent = [];
  let done;
  const keeper = Kept.keeper({ send: (plan) => (sent.push(plan), new Promise((go) => (done = go))), timer });
  keeper.note("a");
  timer.run();
  await soon();
  keeper.note("b");
  timer.run();
  await soon();
  assert.deepEqual(sent, ["a"]);
  done();
  await soon();
  timer.run();
  await soon();
  assert.deepEqual(sent, ["a", "b"]);
});

test("a server that is away stops nothing", async () => {
  const timer = clock();
  let tries = 0;
  const keeper = Kept.keeper({ send: () => ((tries += 1), Promise.reject(new Error("away"))), timer });
  keeper.note("a");
  timer.run();
  await soon();
  keeper.note("b");
  timer.run();
  await soon();
  assert.equal(tries, 2);
});

test("a folder that takes nothing is told once, tried again, and its return is told", async () => {
  const timer = clock();
  const told = [];
  const sent = [];
  let full = true;
  const keeper = Kept.keeper({
    send: (plan) => (sent.push(plan), full ? Promise.reject(new Error("full")) : Promise.resolve()),
    onTrouble: (error) => told.push(error.message),
    onBack: () => told.push("back"),
    timer,
  });
  keeper.note("a");
  for (let round = 0; round < 3; round += 1) {
    timer.run();
    await soon();
  }
  assert.deepEqual(told, ["full"]);
  assert.deepEqual(sent, ["a", "a", "a"]);
  full = false;
  keeper.note("b");
  timer.run();
  await soon();
  assert.equal(sent[sent.length - 1], "b");
  assert.deepEqual(told, ["full", "back"]);
});

test("closing the page writes what waits", async () => {
  const timer = clock();
  const sent = [];
  const keeper = Kept.keeper({ send: (plan) => sent.push(plan), timer });
  keeper.note("a");
  keeper.flush();
  await soon();
  assert.deepEqual(sent, ["a"]);
});

test("times are said as people say them", () => {
  const now = new Date(2026, 10, 25, 12, 0);
  const said = (...at) => Kept.when(new Date(...at).toISOString(), now);
  assert.equal(said(2026, 10, 25, 9, 5), "today 9:05");
  assert.equal(said(2026, 10, 24, 23, 59), "yesterday 23:59");
  assert.equal(said(2026, 2, 3, 14, 0), "3 Mar 14:00");
  assert.equal(said(2025, 11, 31, 8, 30), "31 Dec 2025 8:30");
});

test("versions stand under their plan", () => {
  const at = (hour) => new Date(2026, 10, 25, hour).toISOString();
  const found = Kept.rows(
    [
      { mark: "ours", title: "Ours", when: at(11), latest: true },
      { mark: "ours/1", title: "Ours", when: at(10), latest: false },
      { mark: "other", title: "Other", when: at(9), latest: true },
    ],
    new Date(2026, 10, 25, 12)
  );
  assert.equal(found[0].trouble, null);
  assert.deepEqual(found.map((row) => [row.mark, row.when, row.earlier.length]), [["ours", "today 11:00", 1], ["other", "today 9:00", 0]]);
});
