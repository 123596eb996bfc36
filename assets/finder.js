/* finder: asks the server for plans that meet the wishes, shows how far it is, stops it, dims what is old. When the server goes away,
 * or is started again, the search is begun anew.
 *
 *   start(plan, revision, strip)   begins; what may change is read from the drawer; with a strip its ways are compared
 *   stop()                  stops; what was found until then comes
 *   seen(revision)          the plan on screen: results for another one are dimmed
 *   asked(root)             {allow, no_drill, pairs, lamps, cords, area} as the boxes and fields say
 *
 * Elements: data-may "part" data-may-of "id", data-no-drill "wall", data-pairs (boxes of the drawer),
 *   data-find-lamps, data-find-cords, data-find-area (fields of what is there, four of where no hole may be);
 *   #find-state (what is being done), #find-stop, #found (what was found).
 */
import { isAway } from "./back.js";
import * as Bridge from "./bridge.js";
import { part } from "./dom.js";
import { morph } from "./morph.js";
import { faultsIn, post } from "./server.js";
import { store } from "./store.js";

const WAIT_MS = 400;
const ENOUGH = 3; // times that a search is begun which the server then knows nothing of
/** @type {any} */
const now = { job: null, revision: null, shown: null };

export function asked(place) {
  const allow = {}, boxes = [...place.querySelectorAll("[data-may]")];
  for (const box of boxes) {
    allow[box.dataset.mayOf] ??= [];
    const parts = allow[box.dataset.mayOf];
    if (box.checked) parts.push(box.dataset.may);
  }
  const walls = [...place.querySelectorAll("[data-no-drill]")].filter((box) => box.checked);
  const pairs = place.querySelector("[data-pairs]");
  const typed = (name) => [...place.querySelectorAll(`[data-find-${name}]`)].map((input) => input.value.trim());
  const have = { lamps: typed("lamps").join(","), cords: typed("cords").join(","), area: typed("area").filter(Boolean) };
  const said = Object.fromEntries(Object.entries(have).filter(([, value]) => value.length));
  return { allow, no_drill: walls.map((box) => Number(box.dataset.noDrill)), pairs: !pairs || pairs.checked, ...said };
}

/** @param {string} text  @param {number | null} share */
function tell(text, share = null) {
  const place = part("find-state");
  if (place) place.textContent = text;
  const bar = /** @type {HTMLProgressElement | null} */ (part("find-bar"));
  if (bar) {
    bar.hidden = share === null;
    if (share !== null) bar.value = share;
  }
  const stop = part("find-stop");
  if (stop) stop.hidden = share === null;
}

/** A search that its server cannot tell of any more: the server is away, or is another one. */
class Gone extends Error {}

async function answer(asking) {
  const got = await asking.catch(() => null);
  if (!got || isAway(got)) throw new Gone("away");
  const found = await got.json().catch(() => ({}));
  if (got.ok) return found;
  if (found.faults?.some((fault) => fault.field === "search")) throw new Gone("forgotten");
  throw new Error(faultsIn(found) || `the page's server could not do this (${got.status})`);
}

export async function start(plan, revision, strip = null) {
  const mine = {};
  const wanted = { plan, system: store.now.system, ...asked(part("drawer-find")), ...(strip ? { strip } : {}) };
  now.mine = mine;
  tell("Beginning ...", 0);
  for (let begun = 1; now.mine === mine; begun += 1) {
    try {
      return await follow(mine, wanted, revision);
    } catch (error) {
      if (now.mine !== mine) return;
      now.job = null;
      const { message } = /** @type {Error} */ (error);
      if (!(error instanceof Gone)) return tell(`Nothing was found: ${message}`);
      if (message === "away") {
        begun = 0;
        tell("The page's server does not answer; the search begins anew as soon as it is back.", 0);
        await Bridge.away();
      } else if (begun >= ENOUGH) return tell("Nothing was found: the page's server forgets its searches. Start it again, alone.");
    }
  }
}

async function follow(mine, wanted, revision) {
  const first = await answer(post("find", wanted));
  if (now.mine !== mine) return;
  now.job = first.job;
  now.revision = revision;
  for (;;) {
    await new Promise((then) => setTimeout(then, WAIT_MS));
    if (now.mine !== mine) return;
    const state = await answer(fetch(`find/${first.job}`));
    if (now.mine !== mine) return;
    if (state.done) return show(state, revision);
    const best = state.of ? `, best so far ${state.met} of ${state.of} wishes` : "";
    tell(`${state.doing[0].toUpperCase()}${state.doing.slice(1)}: ${state.tried} ${wanted.strip ? "ways" : "candidates"}${best}`, state.share);
  }
}

function show(state, revision) {
  now.job = null;
  tell(state.trouble ? `Nothing was found: ${state.trouble}` : "");
  if (state.trouble) return;
  morph(part("found"), state.html);
  now.shown = revision;
  seen(now.seen);
}

export function stop() {
  if (!now.job) {
    now.mine = null; // it has not begun, or waits for the server
    return tell("");
  }
  tell("Stopping ...", 1);
  post(`find/${now.job}/stop`, {}).catch(() => {});
}

export function seen(revision) {
  now.seen = revision;
  const place = part("found");
  if (!place || now.shown === null) return;
  const old = revision !== now.shown;
  place.classList.toggle("is-old", old);
  const words = part("find-old");
  if (words) words.hidden = !old;
}
