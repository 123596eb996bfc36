// Claims: previews never pile up or come late; commands go one at a time and outlive a lost server; live numbers are the server's words.
import assert from "node:assert/strict";
import { test } from "node:test";
import * as Files from "../../assets/files.js";
import { latest } from "../../assets/latest.js";
import * as Levels from "../../assets/levels.js";
import * as Live from "../../assets/live.js";
import { queue } from "../../assets/queue.js";
import { watch } from "../../assets/watch.js";

const rest = () => new Promise((done) => setImmediate(done));

function answerer() {
  const asked = [];
  const send = (question) => new Promise((resolve, reject) => asked.push({ question, resolve, reject }));
  return { asked, send };
}

test("while one question is on its way only the newest waits", async () => {
  const { asked, send } = answerer();
  const got = [];
  const line = latest(send, { onAnswer: (answer, question) => got.push([question, answer]) });
  for (const n of [1, 2, 3, 4, 5]) line.ask(n);
  await rest();
  assert.deepEqual(asked.map((each) => each.question), [1]);
  asked[0].resolve("one");
  await rest();
  await rest();
  assert.deepEqual(asked.map((each) => each.question), [1, 5]);
  asked[1].resolve("five");
  await rest();
  await rest();
  assert.deepEqual(got, [[1, "one"], [5, "five"]]);
  assert.equal(line.busy(), false);
});

test("after cancel no answer comes, and a new question is asked at once", async () => {
  const { asked, send } = answerer();
  const got = [];
  const line = latest(send, { onAnswer: (answer) => got.push(answer) });
  line.ask("old");
  line.ask("waiting");
  await rest();
  line.cancel();
  line.ask("new");
  await rest();
  assert.deepEqual(asked.map((each) => each.question), ["old", "new"]);
  asked[0].resolve("late");
  asked[1].resolve("right");
  await rest();
  await rest();
  assert.deepEqual(got, ["right"]);
});

test("a refused question is told and does not stop the line", async () => {
  const { asked, send } = answerer();
  const told = [];
  const line = latest(send, { onAnswer: (answer) => told.push(answer), onError: (error) => told.push(error.message) });
  line.ask(1);
  line.ask(2);
  await rest();
  asked[0].reject(new Error("no"));
  await rest();
  await rest();
  asked[1].resolve("yes");
  await rest();
  await rest();
  assert.deepEqual(told, ["no", "yes"]);
});

function clock() {
  const jobs = new Map();
  let now = 0, next = 1;
  return {
    setTimeout: (job, wait) => (jobs.set(next, { job, at: now + wait }), next++),
    clearTimeout: (id) => jobs.delete(id),
    async pass(ms) {
      now += ms;
      for (const [id, { job, at }] of [...jobs]) if (at <= now && jobs.delete(id)) job();
      await rest();
      await rest();
    },
  };
}

test("commands are delivered in order, each after the answer to the one before", () => {
  const sent = [];
  const line = queue({ deliver: (cmd) => sent.push(cmd.name), isAlive: async () => true, timer: clock() });
  line.push({ name: "a" });
  line.push({ name: "b" });
  assert.deepEqual(sent, ["a"]);
  line.answered(99); // somebody else's
  assert.deepEqual(sent, ["a"]);
  line.answered(1);
  assert.deepEqual(sent, ["a", "b"]);
  line.answered();
  assert.equal(line.size(), 0);
});

test("a lost server is told once, and when it is back the waiting commands are delivered again, none lost", async () => {
  const sent = [], told = [], timer = clock();
  let alive = false;
  const line = queue({
    deliver: (cmd) => sent.push(cmd.name), isAlive: async () => alive, timer, patience_ms: 100, retry_ms: 50,
    onLost: () => told.push("lost"), onBack: () => told.push("back"),
  });
  line.push({ name: "a" });
  await timer.pass(100);
  line.push({ name: "b" });
  await timer.pass(50);
  await timer.pass(50);
  assert.deepEqual([sent, told], [["a"], ["lost"]]);
  alive = true;
  await timer.pass(50);
  assert.deepEqual([sent, told], [["a", "a"], ["lost", "back"]]);
  line.answered();
  assert.deepEqual(sent, ["a", "a", "b"]);
});

test("a slow but living server is waited for, not asked twice", async () => {
  const sent = [], timer = clock();
  const line = queue({ deliver: (cmd) => sent.push(cmd.name), isAlive: async () => true, timer, patience_ms: 100 });
  line.push({ name: "a" });
  await timer.pass(100);
  await timer.pass(100);
  assert.deepEqual(sent, ["a"]);
});

const answers = {
  planes: [{ target: "page:left", setup: "read", average_lx: 291.37, low_lx: 233, high_lx: 348, minimum_lx: 150, maximum_lx: 400, uniformity: 0.515 }],
  eyes: [
    { target: "eye:right:sitting", setup: "read", illuminance_lx: 40, low_lx: 30, high_lx: 50 },
    { target: "eye:right:lying back", setup: "read", illuminance_lx: 4, low_lx: 3, high_lx: 5, melanopic_edi_lx: 1.7, melanopic_low_lx: 1.2, melanopic_high_lx: 2.1 },
    { target: "eye:right:lying left", setup: "read", illuminance_lx: 6, low_lx: 5, high_lx: 7, melanopic_edi_lx: 2.6, melanopic_low_lx: 2.0, melanopic_high_lx: 3.1 },
  ],
};

test("a live number has the server's words, whole or in parts", () => {
  const { find, text } = Live;
  const page = find(answers, "page:left", "read");
  assert.equal(text(page), "about 290 lx (230-350)");
  assert.equal(text(page, "illuminance", "value"), "290");
  assert.equal(text(page, "illuminance", "band"), "230-350");
  assert.equal(text(page, "uniformity"), "0.52");
  assert.equal(text({ average_lx: 0.02, low_lx: 0.01, high_lx: 0.03 }, "illuminance", "value"), "under 0.1");
  assert.equal(find(answers, "page:left", "off"), null);
});

test("a sleeper's eye is the worst of the lying postures, never the sitting one", () => {
  const entry = Live.find(answers, "eye:right", "read");
  assert.equal(entry.target, "eye:right:lying left");
  assert.equal(Live.text(entry, "melanopic"), "about 2.6 lx (2.0-3.1)");
});

test("how a wish fares is the server's word, dimmed until it comes", () => {
  const element = (dataset) => {
    const classes = new Set(["lm-state", "is-short"]);
    return { dataset, classes, textContent: "short", classList: {
      add: (name) => classes.add(name), remove: (...names) => names.forEach((name) => classes.delete(name)),
      toggle: (name, on) => (on ? classes.add(name) : classes.delete(name)),
    } };
  };
  const state = element({ liveAim: "page" }), beside = element({ liveAimWords: "page" });
  const where = { querySelectorAll: (query) => (query === "[data-live]" ? [] : [state, beside]) };
  const aims = [{ id: "page", setup: "other", state: "met", words: "" }, { id: "page", setup: "read", state: "met while new", words: "likely" }];
  Live.write(where, { planes: [], eyes: [], setup: "read" });
  assert.equal(state.textContent, "short");
  assert.ok(state.classes.has("is-stale"));
  Live.write(where, { planes: [], eyes: [], aims, setup: "read" });
  assert.deepEqual([state.textContent, beside.textContent], ["met while new", "likely"]);
  assert.deepEqual([...state.classes].sort(), ["is-while", "lm-state"]);
});

test("a slider's quick number has no band, and is silent about a light that no setup has lit", () => {
  const plan = { lights: [{ id: "a" }, { id: "b" }], setups: [{ id: "s", levels: { a: 0.5 } }] };
  const study = { planes: [{ target: "floor", setup: "s", average_lx: 3, by_source: [{ id: "a", direct_lx: 2, bounced_lx: 1 }] }] };
  const { planes } = Levels.quick(plan, study, { a: 1 }, "s");
  assert.deepEqual(planes, [{ target: "floor", setup: "s", average_lx: 6 }]);
  assert.equal(Live.text(planes[0]), "about 6.0 lx");
  assert.deepEqual(Levels.quick(plan, study, { a: 1, b: 0.2 }, "s").planes, []);
});

test("a file that is not a plan is refused in a sentence", async () => {
  const file = (text, name = "x.json") => ({ name, size: text.length, text: async () => text });
  await assert.rejects(Files.read(file("{")), /not JSON/);
  await assert.rejects(Files.read(file('{"format":"other"}')), /must begin with "lumen-plan\/"/);
  await assert.rejects(Files.read({ name: "x.json", size: 6e6 }), /too large/);
  assert.equal((await Files.read(file('{"format":"lumen-plan/1"}'))).format, "lumen-plan/1");
  assert.equal(Files.fileName("Plain pair, 2"), "plain-pair-2.json");
});

test("a level set again while the first setting waits is sent once, as it last was", () => {
  const sent = [];
  const line = queue({ deliver: (cmd) => sent.push(cmd.args.value), isAlive: async () => true, timer: clock() });
  const level = (value, of = "a") => ({ name: "level", args: { setup: "s", of, value } });
  for (const value of [0.1, 0.2, 0.3]) line.push(level(value));
  line.push(level(0.9, "b"));
  line.push(level(0.4));
  for (let i = 0; i < 4; i += 1) line.answered();
  assert.deepEqual(sent, [0.1, 0.3, 0.9, 0.4]);
});

function watched(alive = () => true) {
  const sent = [], dropped = [], told = [], timer = clock();
  const line = queue({
    deliver: (cmd) => sent.push(cmd.name), isAlive: async () => alive(), timer, patience_ms: 100, retry_ms: 50,
    onDrop: (cmd) => dropped.push(cmd.name), onLost: () => told.push("lost"), onBack: () => told.push("back"),
  });
  return { line, sent, dropped, told, timer };
}

test("a command that the server fails on is dropped and told, and the next one goes", async () => {
  const { line, sent, dropped } = watched();
  line.push({ name: "a" });
  line.push({ name: "b" });
  await line.failed(500);
  assert.deepEqual([sent, dropped], [["a", "b"], ["a"]]);
  line.answered();
  assert.equal(line.size(), 0);
});

test("a command that a living server never answers is dropped in the end, and the next one goes", async () => {
  const { line, sent, dropped, timer } = watched();
  line.push({ name: "a" });
  line.push({ name: "b" });
  for (let i = 0; i < 7; i++) await timer.pass(100);
  assert.deepEqual([sent, dropped], [["a"], []]);
  await timer.pass(100);
  assert.deepEqual([sent, dropped], [["a", "b"], ["a"]]);
});

test("a cut connection to a living server is tried three times in all", async () => {
  const { line, sent, dropped } = watched();
  line.push({ name: "a" });
  await line.failed(0);
  await line.failed(0);
  assert.deepEqual([sent, dropped], [["a", "a", "a"], []]);
  await line.failed(0);
  assert.deepEqual(dropped, ["a"]);
  assert.equal(line.size(), 0);
});

test("a connection cut because the server is away keeps the command until it is back", async () => {
  let alive = false;
  const { line, sent, dropped, told, timer } = watched(() => alive);
  line.push({ name: "a" });
  await line.failed(0);
  await timer.pass(0);
  alive = true;
  await timer.pass(50);
  assert.deepEqual([sent, dropped, told], [["a", "a"], [], ["lost", "back"]]);
});

test("a server that is away is told of though no command waits; what comes meanwhile goes once, when it is back", async () => {
  let alive = false;
  const { line, sent, dropped, told, timer } = watched(() => alive);
  line.noAnswer();
  await timer.pass(0);
  assert.deepEqual(told, ["lost"]);
  line.push({ name: "a" });
  alive = true;
  await timer.pass(50);
  assert.deepEqual([sent, dropped, told], [["a"], [], ["lost", "back"]]);
});

test("a request that is cut off while the server lives and nothing waits is no trouble of the line", async () => {
  const { line, sent, dropped, told, timer } = watched(() => true);
  line.noAnswer();
  await timer.pass(0);
  line.push({ name: "a" });
  assert.deepEqual([sent, dropped, told], [["a"], [], []]);
});

test("an answer that comes late is a sign of life and the line goes on", async () => {
  const { line, sent, told, timer } = watched(() => false);
  line.push({ name: "a" });
  line.push({ name: "b" });
  await timer.pass(100);
  line.answered(1);
  assert.deepEqual([sent, told], [["a", "b"], ["lost", "back"]]);
});

test("one can wait until every command is answered, but not for ever", async () => {
  const { line, timer } = watched();
  assert.equal(await line.whenEmpty(10), true);
  line.push({ name: "a" });
  const found = [];
  line.whenEmpty(60).then((done) => found.push(done));
  line.whenEmpty(90).then((done) => found.push(done));
  await timer.pass(60);
  assert.deepEqual(found, [false]);
  line.answered();
  await rest();
  assert.deepEqual(found, [false, true]);
});

test("a watched request tells a bad status and a cut connection, and hands both on", async () => {
  const failures = [];
  const isWanted = (url) => url === "/command";
  const answer = (status) => async () => ({ ok: status < 400, status });
  const seen = (fetch) => watch(fetch, { isWanted, onFailure: (status) => failures.push(status) });
  assert.equal((await seen(answer(500))("/command")).status, 500);
  await seen(answer(500))("/other");
  await seen(answer(200))("/command");
  await assert.rejects(seen(async () => { throw new TypeError("cut"); })("/command"), /cut/);
  assert.deepEqual(failures, [500, 0]);
});
