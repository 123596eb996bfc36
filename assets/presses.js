/* presses: what a press means; elements say it by attributes.
 *
 *   onClick, onDragStart, onDrop, onKey   listeners
 *
 *   data-command '{...}'   send it                      data-select "id"    take it in the hand ("" lets go)
 *   data-opens, data-closes "drawer"                    data-setup "id"     show this setup
 *   data-light "id" (beside data-opens="heights")       data-compare first | second (a list of setups)
 *   data-switch "name" data-to "value"  (of the store)  data-place "what"   add from the catalogue
 *   data-kept "mark"     open a kept plan               data-find-from '{...}'  send it, then find plans from there
 *   data-patch-of "light"  where it works                data-find-strip "strip"  compare its ways
 *   data-example "file"                                 data-act begin | undo | redo | save | sheet | theme | open-file | lm63 | find | find-stop
 */
import { closest, field } from "./dom.js";
import * as Bridge from "./bridge.js";
import { mark } from "./busy.js";
import { close, open } from "./drawers.js";
import * as Drop from "./drop.js";
import * as Empty from "./empty.js";
import * as Finder from "./finder.js";
import { send } from "./forms.js";
import { select } from "./hand.js";
import { keep } from "./lasting.js";
import { SAVE_WAIT_MS, add, allTaken, lightFromFile, openFile, pick, replaceBy, save, sheet } from "./saving.js";
import { tell } from "./server.js";
import { store } from "./store.js";
import * as Works from "./works.js";

/** @type {[string, (el: any) => unknown][]} */
const PRESSES = [
  ["data-command", (el) => send(JSON.parse(el.dataset.command))],
  ["data-select", (el) => select(el.dataset.select ? [el.dataset.select] : [])],
  ["data-opens", (el) => {
    if (el.id === "toast") el.hidden = true;
    open(el.dataset.opens, el);
  }],
  ["data-closes", (el) => close(el.dataset.closes)],
  ["data-setup", (el) => tell("setup", el.dataset.setup)],
  ["data-switch", (el) => turn(el.dataset.switch, el.dataset.to)],
  ["data-place", (el) => add({ what: el.dataset.place })],
  ["data-example", (el) => replaceBy(`example/${encodeURIComponent(el.dataset.example)}`)],
  ["data-kept", (el) => replaceBy(`kept/${el.dataset.kept}`)],
  ["data-patch-of", (el) => Works.toggle(el.dataset.patchOf)],
  ["data-find-strip", (el) => find(el.dataset.findStrip)],
  ["data-find-from", (el) => findFrom(JSON.parse(el.dataset.findFrom))],
  ["data-act", (el) => ACTS[el.dataset.act]()],
];

export function onClick(event) {
  for (const [name, act] of PRESSES) {
    const element = closest(event, `[${name}]`);
    if (element && !element.disabled) {
      act(element);
      mark();
      return;
    }
  }
}

function turn(name, value) {
  if (name === "system") tell(name, value);
  else store.set({ [name]: value });
  if (name === "system") keep("lumen-units", value);
}

export function onDragStart(event) {
  const tile = closest(event, "[data-place]");
  const into = field("into");
  const chosen = tile && { what: tile.dataset.place, ...(into?.value ? { into: into.value } : {}) };
  if (chosen) event.dataTransfer.setData(Drop.KIND, JSON.stringify(chosen));
}

const ACTS = {
  undo: () => Bridge.undo(),
  redo: () => Bridge.redo(),
  save,
  sheet,
  theme() {
    const next = document.documentElement.dataset.theme === "light" ? "dark" : "light";
    Bridge.theme(next);
    keep("lumen-theme", next);
  },
  begin: () => Empty.make(),
  find: () => find(),
  "find-stop": () => Finder.stop(),
  "open-file": () => pick(".json,application/json", openFile),
  lm63: () => pick(".ies,.IES,text/plain", lightFromFile),
};

/** Looks for plans from what is on screen; a change that is on its way is waited for. */
async function find(strip = null) {
  if (await allTaken("Not yet", SAVE_WAIT_MS)) Finder.start(store.now.plan, store.now.document?.revision, strip);
}

/** Tries a plan, and looks on from there. */
async function findFrom(command) {
  send(command);
  await find();
}

export function onKey(event) {
  if (event.key === "Enter" && event.target.id === "title") {
    event.preventDefault(); // a name is one line, however it is shown
    event.target.blur();
  }
  // What is drawn has no press by key of its own, as a button has.
  if ((event.key === "Enter" || event.key === " ") && closest(event, "g[data-select]")) {
    event.preventDefault();
    onClick(event);
  }
  if (event.key === "Escape" && !event.defaultPrevented) {
    const drawer = document.querySelector(".lm-drawer:not([hidden])");
    if (drawer) close(drawer.id.replace("drawer-", ""));
  }
}

export function onDrop(event) {
  const file = event.dataTransfer && [...event.dataTransfer.files].find((each) => /\.ies$/i.test(each.name));
  if (!file) return;
  event.preventDefault();
  lightFromFile(file);
}
