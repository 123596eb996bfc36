// Claims: two windows on one plan never write over each other once they know; what one wrote outlives its reload.
import assert from "node:assert/strict";
import { test } from "node:test";
import * as History from "../../assets/history.js";
import * as Windows from "../../assets/windows.js";

function store() {
  const held = new Map();
  return { getItem: (key) => held.get(key) ?? null, setItem: (key, text) => held.set(key, text), removeItem: (key) => held.delete(key), held };
}

const bytes = () => new Uint8Array([1, 2, 3, 4, 5, 6, 7, 255]);

test("windows share one memory until they part, then each has its own", () => {
  const local = store();
  const [one, other] = [store(), store()].map((session) => Windows.store({ key: "plan", local, session, random: bytes }));
  one.setItem("plan", "from one");
  assert.equal(other.getItem("plan"), "from one");
  other.part();
  other.setItem("plan", "from the other");
  assert.equal(one.getItem("plan"), "from one");
  assert.equal(other.getItem("plan"), "from the other");
  assert.deepEqual([one.apart(), other.apart()], [false, true]);
});

test("a window that parted finds its own again after a reload, and the shared one once it joins", () => {
  const [local, session] = [store(), store()];
  const before = Windows.store({ key: "plan", local, session, random: bytes });
  before.setItem("plan", "shared");
  before.part();
  before.setItem("plan", "own");
  const after = Windows.store({ key: "plan", local, session, random: bytes });
  assert.equal(after.getItem("plan"), "own");
  after.join();
  assert.equal(after.getItem("plan"), "shared");
  assert.deepEqual([...local.held.keys()], ["plan"]);
});

test("a window without a memory of its own shares the common one", () => {
  const local = store();
  const session = { getItem() { throw new Error("off"); } };
  const window = Windows.store({ key: "plan", local, session });
  window.setItem("plan", "text");
  assert.equal(local.getItem("plan"), "text");
  assert.equal(window.apart(), false);
});

test("only a write of another window under the same key is heard", () => {
  const target = new EventTarget();
  let heard = 0;
  const stop = Windows.watch({ key: "plan", target, onOther: () => (heard += 1) });
  const say = (key, newValue) => target.dispatchEvent(Object.assign(new Event("storage"), { key, newValue }));
  say("else", "x");
  say("plan", null);
  assert.equal(heard, 0);
  say("plan", "x");
  assert.equal(heard, 1);
  stop();
  say("plan", "y");
  assert.equal(heard, 1);
});

test("an identity is what a plan's field takes", () => {
  assert.match(Windows.fresh(bytes), /^[a-z0-9]{8,40}$/);
  assert.equal(Windows.fresh(bytes), "01020304050607ff");
});

test("a copy's whole history is the copy's", () => {
  const history = { past: [{ title: "a", identity: "x" }], present: { title: "b", identity: "x" }, future: [{ title: "c" }] };
  const named = History.as(history, "y");
  assert.deepEqual([...named.past, named.present, ...named.future].map((plan) => plan.identity), ["y", "y", "y"]);
  assert.equal(history.present.identity, "x");
});
