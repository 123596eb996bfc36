// Claims: what may change is read from the drawer's boxes as the server takes it.
import assert from "node:assert/strict";
import { test } from "node:test";
import * as Finder from "../../assets/finder.js";

/** A drawer with boxes: {may, of, on}, {wall, on}, {pairs, on}. */
function drawer(boxes, fields = {}) {
  const typed = (selector) => (fields[selector.slice("[data-find-".length, -1)] || []).map((value) => ({ value }));
  const made = boxes.map(({ may, of, wall, pairs, on }) => ({
    checked: on,
    dataset: { ...(may && { may, mayOf: of }), ...(wall !== undefined && { noDrill: String(wall) }), ...(pairs && { pairs: "" }) },
  }));
  const of = (name) => made.filter((box) => name in box.dataset);
  const names = { "[data-may]": "may", "[data-no-drill]": "noDrill", "[data-pairs]": "pairs" };
  return { querySelectorAll: (selector) => (names[selector] ? of(names[selector]) : typed(selector)), querySelector: (selector) => of(names[selector])[0] || null };
}

test("ticked parts are allowed, a light with none keeps all", () => {
  const found = Finder.asked(
    drawer([
      { may: "place", of: "a", on: true },
      { may: "lamp", of: "a", on: false },
      { may: "lamp", of: "b", on: false },
      { wall: 2, on: true },
      { wall: 3, on: false },
      { pairs: true, on: false },
    ])
  );
  assert.deepEqual(found, { allow: { a: ["place"], b: [] }, no_drill: [2], pairs: false });
});

test("a drawer without boxes forbids nothing", () => {
  assert.deepEqual(Finder.asked(drawer([])), { allow: {}, no_drill: [], pairs: true });
});

test("what is typed goes along, what is left empty does not", () => {
  const found = Finder.asked(drawer([], { lamps: [" 470, 250@2200 "], cords: [""], area: ["60", "", "120", "150"] }));
  assert.equal(found.lamps, "470, 250@2200");
  assert.ok(!("cords" in found));
  assert.deepEqual(found.area, ["60", "120", "150"]); // three of four: the server says what is missing
});
