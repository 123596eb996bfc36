/* drawers: opened and closed, and filled with what is reckoned only while they are open.
 *
 *   open(name, from), close(name)   from: the button that opened it, which gets the focus back
 *   askDrawers()                    asks the server anew for what open drawers show
 *   cover()                         what an open drawer hides cannot be reached
 */
import { all, one, part } from "./dom.js";
import * as Bridge from "./bridge.js";
import * as Kept from "./kept.js";
import { ask } from "./asking.js";
import { tell } from "./server.js";
import { store } from "./store.js";

/** What the drawers of heights and of comparing are asked for.
 *  @type {{heights: {light: string | null}, compare: {first: string | null, second: string | null}}} */
export const wanted = { heights: { light: null }, compare: { first: null, second: null } };

/** @type {Record<string, string>} */
const askedLast = {};

export function askDrawers() {
  const revision = store.now.shown?.revision;
  askFor("heights", wanted.heights.light && { light: wanted.heights.light, setup: store.now.setup, system: store.now.system, revision });
  askFor("compare", { first: wanted.compare.first || store.now.setup, second: wanted.compare.second || "", revision });
}

function askFor(name, args) {
  const drawer = part(`drawer-${name}`);
  if (!args?.revision || !drawer || drawer.hidden) return;
  const key = JSON.stringify(args);
  if (key !== askedLast[name]) tell(`${name}-asked`, args);
  askedLast[name] = key;
}

const openers = new Map();

/** @param {string} name  @param {HTMLElement | null} from */
export function open(name, from = null) {
  const drawer = part(`drawer-${name}`);
  if (!drawer) return;
  for (const each of all(".lm-drawer")) if (each !== drawer) each.hidden = true;
  if (!drawer.hidden) return;
  drawer.hidden = false;
  cover();
  if (from) openers.set(name, from);
  if (name === "start") tell("start-asked", Date.now());
  if (name === "open") {
    examplePictures();
    keptPlans();
  }
  if (name === "heights" && from && from.dataset.light) wanted.heights = { light: from.dataset.light };
  if (name === "compare") wanted.compare = { first: store.now.setup, second: null };
  askDrawers();
  Bridge.refresh();
  const head = one("h2", drawer);
  if (head) head.focus({ preventScroll: true });
}

export function close(name) {
  const drawer = part(`drawer-${name}`);
  if (!drawer || drawer.hidden) return;
  drawer.hidden = true;
  cover();
  const from = openers.get(name);
  const back = from?.isConnected && !from.closest("[hidden], [inert]") ? from : part("stage");
  if (back) back.focus({ preventScroll: true });
}

/** What lies under an open drawer cannot be reached by Tab or read aloud: one would be lost there. */
export function cover() {
  const drawer = one(".lm-drawer:not([hidden])");
  for (const each of all(".lm-answers, .lm-stage")) {
    const over = drawer?.getBoundingClientRect(), box = each.getBoundingClientRect();
    each.inert = Boolean(over && over.left <= box.left + 2 && over.right >= box.right - 2 && over.top <= box.top + 2 && over.bottom >= box.bottom - 2);
  }
}

async function keptPlans() {
  const found = await ask("kept");
  if (found) Kept.fill(part("kept-plans"), found.kept);
}

async function examplePictures() {
  for (const element of all("[data-example-picture]:empty")) {
    const image = document.createElement("img");
    image.alt = "";
    image.src = `picture/${encodeURIComponent(String(element.dataset.examplePicture))}`;
    element.append(image);
  }
}
