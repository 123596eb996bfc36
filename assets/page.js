/* page: the page around the drawings. It fills the panels, shows what the store says, and listens, once, at the document.
 *
 *   begin(opened)            opened: the file that the server was started with: {file, key, version}
 *   idle(), open(name), close(name), send(command)
 *
 * What elements mean by their attributes stands in presses.js and forms.js.
 */
import { all, one, part } from "./dom.js";
import * as Bridge from "./bridge.js";
import { idle, mark } from "./busy.js";
import { askDrawers, close, cover, open } from "./drawers.js";
import * as Empty from "./empty.js";
import * as Finder from "./finder.js";
import { answered, dropped, onChange, onInput, send } from "./forms.js";
import { cardAside, onKeyFirst, select } from "./hand.js";
import { kept } from "./lasting.js";
import { morph } from "./morph.js";
import { onClick, onDragStart, onDrop, onKey } from "./presses.js";
import * as Progress from "./progress.js";
import * as Saving from "./saving.js";
import { say, warn } from "./say.js";
import { tell } from "./server.js";
import { PANELS, store } from "./store.js";
import { fitTitle, showTitle } from "./title.js";

export { close, idle, open, send };

const SWITCHES = ["system", "paint", "look", "place"];
const WALK_WAIT_MS = 250;

// ---- what the store says ---------------------------------------------------------------------------------------------
const filled = new Map(); // id of a place -> the HTML in it

function fill(now) {
  for (const [id, html] of PANELS.flatMap((name) => Object.entries(now[name] || {}))) {
    const place = part(id);
    if (!place || filled.get(id) === html) continue;
    morph(place, html);
    filled.set(id, html);
  }
}

/** @type {{identity: string | null, setups: string[]}} */
const before = { identity: null, setups: [] }; // of the plan that was shown last

/** Where the setup on show is gone, its neighbour is shown; another plan begins with nothing in the hand. */
function followSetups({ plan, setup }) {
  if (!plan || setup === null) return;
  const setups = (plan.setups || []).map((each) => each.id);
  const other = Boolean(before.identity && plan.identity && plan.identity !== before.identity);
  const at = other ? 0 : Math.max(0, before.setups.indexOf(setup));
  Object.assign(before, { identity: plan.identity, setups });
  if (other) select([]);
  if (setups.includes(setup)) return;
  const next = setups[Math.min(at, setups.length - 1)] || "";
  if (next !== setup) tell("setup", next);
}

function showSwitches(now) {
  for (const each of all("[data-switch]")) {
    const name = String(each.dataset.switch);
    if (SWITCHES.includes(name)) each.setAttribute("aria-pressed", String(each.dataset.to === String(now[name])));
  }
}

function showLook({ look, paint }) {
  for (const frame of all(".lm-view-frame")) frame.hidden = frame.id !== `${look}-frame`;
  const legend = part("legend");
  if (legend) legend.hidden = paint !== "lux";
}

let walked = "";
let walking = null;

/** The walk-in view is the server's picture: asked for only while it is on show, and once a slider rests. */
function walk(now, changed) {
  clearTimeout(walking);
  if (now.look !== "walk" || !now.shown) return;
  const { place, setup, exposure, shown } = now;
  const asks = { place, setup, exposure, revision: shown.revision };
  const ask = () => {
    const key = JSON.stringify(asks);
    if (key !== walked) tell("walk-asked", asks);
    walked = key;
  };
  if (changed.has("exposure")) walking = setTimeout(ask, WALK_WAIT_MS);
  else ask();
}

function showHistory({ history }) {
  for (const name of ["undo", "redo"]) {
    const press = /** @type {HTMLButtonElement | null} */ (one(`[data-act="${name}"]`));
    if (press && history) press.disabled = !history[name];
  }
}

function showCaution({ caution }) {
  open("cautions");
  for (const each of all("[data-caution-at]")) {
    const chosen = Number(each.dataset.cautionAt) === caution.index;
    each.classList.toggle("is-chosen", chosen);
    if (chosen) {
      each.scrollIntoView({ block: "nearest" });
      each.focus({ preventScroll: true });
    }
  }
}

function nameTab({ plan }) {
  document.title = `${plan.title} - lumen`;
}

// ---- exposure --------------------------------------------------------------------------------------------------------
/** How bright a surface is shown, from eyes used to the dark (1 cd/m2) to eyes used to light (400 cd/m2). */
const exposureOf = (value) => 10 ** (2.6 * (value / 100));
const placeOf = (exposure) => Math.round((100 * Math.log10(exposure)) / 2.6);

function exposureSlider() {
  const label = document.createElement("label");
  label.className = "lm-range";
  const words = document.createElement("span");
  words.textContent = "Eyes used to dark";
  const slider = document.createElement("input");
  const ends = document.createElement("span");
  ends.textContent = "light";
  Object.assign(slider, { type: "range", min: "0", max: "100", value: String(placeOf(store.now.exposure)), id: "exposure-slider" });
  const show = () => slider.style.setProperty("--lm-at", `${slider.value}%`);
  slider.addEventListener("input", () => {
    show();
    store.set({ exposure: exposureOf(Number(slider.value)) });
  });
  show();
  label.append(words, slider, ends);
  part("exposure-slot")?.append(label);
}

// ---- begin -----------------------------------------------------------------------------------------------------------
export function begin(opened) {
  Saving.begin(opened);
  store.subscribe(PANELS, fill);
  store.subscribe(["plan", "setup"], followSetups);
  store.subscribe(["plan"], Empty.follow);
  Bridge.begin({
    historyKey: `lumen-history${opened.key ? ` ${opened.key}` : ""}`, opened: Boolean(opened.file), onRefused: dropped,
  });
  store.subscribe(["answered"], (now) => answered(now.answered));
  store.subscribe(["plan"], showTitle);
  store.subscribe(["plan"], nameTab);
  store.subscribe(["document"], ({ document: held }) => held && Finder.seen(held.revision));
  store.subscribe(["study"], (now) => warn(now.study));
  store.subscribe([...SWITCHES, ...PANELS], showSwitches);
  store.subscribe(["shown", "setup", "system"], askDrawers);
  store.subscribe(["look", "place", "setup", "exposure", "shown"], walk);
  store.subscribe(["look", "paint"], showLook);
  store.subscribe(["plan", "selection", "look", ...PANELS], () => requestAnimationFrame(cardAside));
  store.subscribe(["history"], showHistory);
  store.subscribe(["trouble"], ({ trouble }) => trouble && say(trouble.text));
  store.subscribe(["caution"], showCaution);
  store.subscribe(["document", "shown", "setup", "answered"], mark);
  listen();
  exposureSlider();
  Progress.start(part("progress"), { waiting: Bridge.waiting });
  Bridge.theme(kept("lumen-theme") || "dark");
  if (kept("lumen-units") === "ft-in") tell("system", "ft-in");
}

function listen() {
  document.addEventListener("click", onClick);
  document.addEventListener("change", (event) => Empty.onAnswer(event) || onChange(event));
  document.addEventListener("input", onInput);
  document.addEventListener("focusout", (event) => event.target === part("title") && setTimeout(showTitle, 0));
  document.addEventListener("keydown", onKeyFirst, true);
  document.addEventListener("keydown", onKey);
  document.addEventListener("drop", onDrop);
  document.addEventListener("dragstart", onDragStart);
  addEventListener("resize", cover);
  addEventListener("resize", fitTitle);
}
