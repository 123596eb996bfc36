/* page: what the page's own buttons, forms and drawers do; the drawings are joined on by bridge.
 *
 *   dash_clientside.page.sketch(document, answered, opened)   the plan at once, before its light is reckoned
 *   dash_clientside.page.draw(document, study, fields, shown, selection, setup, system, exposure, paint, look, place, said, held,
 *                            offered, asks, swept, compared, opened)
 *   dash_clientside.page.tell(trouble, history, caution)
 *   idle()        nothing is on its way and the words on screen belong to the plan
 *   open(name), .close(name)   drawers
 *
 * Elements say by attributes what a press or a typed text means; this file listens once, at the document:
 *   data-command '{...}'   send it                      data-select "id"    take it in the hand ("" lets go)
 *   data-opens, data-closes "drawer"                    data-setup "id"     show this setup
 *   data-light "id" (beside data-opens="heights")       data-compare first | second (a list of setups)
 *   data-switch "store" data-to "value"                 data-place "what"   add from the catalogue
 *   data-field "path" data-id "id" (around an input; data-section where an id is not enough)    data-measure "what" (around an input)
 *   data-kept "mark"     open a kept plan               data-find-from '{...}'  send it, then find plans from there
 *   data-wish "id" data-wish-field "at_least" (an input of the wishes)   data-run "id" data-run-in "setup" (a box: it runs then)
 *   data-reads-in "setup" (around boxes data-reads "person": who reads then)
 *   data-example "file"                                 data-act undo | redo | save | sheet | theme | open-file | lm63 | find | find-stop
 * The root element carries data-revision (of the plan that the words belong to) and data-busy "yes" | "no".
 */
import * as Bridge from "./bridge.js";
import * as Choice from "./choice.js";
import * as Drop from "./drop.js";
import * as Files from "./files.js";
import * as Finder from "./finder.js";
import * as Kept from "./kept.js";
import { morph } from "./morph.js";
import * as Progress from "./progress.js";

const doc = document;
const MEASURE_WAIT_MS = 350;
const LONG_TITLE = 14, VERY_LONG_TITLE = 36; // letters
const TOAST_MS = 8000;
const SAVE_WAIT_MS = 20000;
const SHEET_WAIT_MS = 4000; // a browser opens a tab only shortly after a press
const now = { document: null, shown: null, setup: null, system: "cm", opened: null, study: null };
const asked = new Map(); // stamp -> the form field that sent the command
let drawn = 0;
let listening = false;

const put = (store, data) => window.dash_clientside.set_props(store, { data });
const closest = (event, selector) => (event.target.closest ? event.target.closest(selector) : null);

// ---- commands --------------------------------------------------------------------------------------------------------
export function send(command, field = null) {
  const stamp = Bridge.command(command);
  if (field) asked.set(stamp, field);
  mark();
}

function answered(data) {
  if (!data) return;
  const field = asked.get(data.stamp);
  asked.delete(data.stamp);
  const faults = data.faults || [];
  if (data.made && data.made.length) select(data.made);
  if (data.said) say(data.said);
  if (data.setup) {
    put("setup", data.setup);
    open("setup");
  }
  if (field) fault(field, faults.map((each) => each.text).join(" "));
  const words = faults.map((each) => ({ ...each, field: each.text, rule: "" }));
  Bridge.answered({ stamp: data.stamp, faults: words });
}

/** A command that the server never did: its field says so, like one that was refused. */
function dropped(stamp, faults) {
  const field = asked.get(stamp);
  asked.delete(stamp);
  if (field) fault(field, faults.map((each) => each.text).join(" "));
  mark();
}

function fault(field, text) {
  const place = field.querySelector(".lm-fault");
  if (place) place.textContent = text;
  const input = field.querySelector("input, select, textarea");
  if (input) input.setAttribute("aria-invalid", text ? "true" : "false");
}

// ---- what is on screen -----------------------------------------------------------------------------------------------
export function idle() {
  const settled = now.document && now.shown && now.shown.revision === now.document.revision;
  return Boolean(settled && now.shown.setup === now.setup && Bridge.waiting() === 0);
}

function mark() {
  const where = doc.documentElement.dataset;
  where.busy = idle() ? "no" : "yes";
  if (now.shown) where.revision = String(now.shown.revision);
}

export function sketch(document, answer, opened) {
  if (!listening) listen(opened);
  Object.assign(now, { document });
  Bridge.show({ plan: document.plan, setup: now.setup });
  answered(answer);
  showTitle();
  mark();
  return document.revision;
}

export function draw(document, study, fields, shown, selection, setup, system, exposure, paint, look, place, said, held, offered, asks, swept, compared, opened) {
  if (!listening) listen(opened);
  study = parsed(study);
  fill(said, held, offered, asks, swept, compared);
  const setups = (document.plan.setups || []).map((each) => each.id);
  follow(setups, setup, document.plan.identity);
  Object.assign(now, { document, shown, setup, setups, system, study });
  Bridge.show({ plan: document.plan, study, fields, setup, selection, units: system, exposure, paint });
  warn(study);
  down("system", system);
  down("paint", paint);
  down("look", look);
  down("place", place);
  askDrawers();
  Finder.seen(document.revision);
  if (look === "walk" && shown) walk({ place, setup, exposure, revision: shown.revision });
  for (const each of ["wall", "above", "walk"]) {
    const frame = doc.getElementById(`${each}-frame`);
    if (frame) frame.hidden = each !== look;
  }
  const legend = doc.getElementById("legend");
  if (legend) legend.hidden = paint !== "lux";
  requestAnimationFrame(cardAside);
  const title = document.plan.title;
  doc.title = `${title} - lumen`;
  mark();
  drawn += 1;
  return drawn;
}

/** Where the setup on show is gone, its neighbour is shown; another plan begins with nothing in the hand. */
function follow(setups, setup, identity) {
  const other = Boolean(now.identity && identity && identity !== now.identity);
  now.identity = identity;
  if (other) select([]);
  if (setups.includes(setup)) return;
  const at = other ? 0 : Math.max(0, (now.setups || []).indexOf(setup));
  const next = setups[Math.min(at, setups.length - 1)] || "";
  if (next !== setup) put("setup", next);
}

/** The plan's name in its field; not while somebody types there, nor over what stands refused. */
function showTitle() {
  const input = doc.getElementById("title");
  if (!input || !now.document || input === doc.activeElement || input.getAttribute("aria-invalid") === "true") return;
  if (input.value !== now.document.plan.title) window.dash_clientside.set_props("title", { value: now.document.plan.title });
  requestAnimationFrame(fitTitle);
}

/** The whole name in sight: long ones smaller, over as many lines as they take. */
function fitTitle() {
  const input = doc.getElementById("title");
  if (!input) return;
  input.classList.toggle("is-long", input.value.length > LONG_TITLE);
  input.classList.toggle("is-very-long", input.value.length > VERY_LONG_TITLE);
  input.style.height = "auto";
  input.style.height = `${input.scrollHeight}px`;
}

let walked = "";

function walk(asks) {
  const key = JSON.stringify(asks);
  if (key !== walked) put("walk-asked", asks);
  walked = key;
}

// ---- drawers whose content is reckoned only while they are open ------------------------------------------------------
const wanted = { heights: { light: null }, compare: { first: null, second: null } };
const askedLast = {};

function askDrawers() {
  const revision = now.shown && now.shown.revision;
  ask1("heights", wanted.heights.light && { light: wanted.heights.light, setup: now.setup, system: now.system, revision });
  ask1("compare", { first: wanted.compare.first || now.setup, second: wanted.compare.second || "", revision });
}

function ask1(name, args) {
  const drawer = doc.getElementById(`drawer-${name}`);
  if (!args || !args.revision || !drawer || drawer.hidden) return;
  const key = JSON.stringify(args);
  if (key !== askedLast[name]) put(`${name}-asked`, args);
  askedLast[name] = key;
}

// ---- panels come as HTML, by the id of their place -------------------------------------------------------------------
const filled = new Map();

function fill(...panels) {
  for (const [id, html] of panels.flatMap((panel) => Object.entries(panel || {}))) {
    const place = doc.getElementById(id);
    if (!place || filled.get(id) === html) continue;
    morph(place, html);
    filled.set(id, html);
  }
}

// The study comes as text; it is read once, and the same object is handed on until another comes.
const read = { text: null, study: null };

function parsed(text) {
  if (text !== read.text) Object.assign(read, { text, study: text ? JSON.parse(text) : null });
  return read.study;
}

function down(store, value) {
  for (const each of doc.querySelectorAll(`[data-switch="${store}"]`)) {
    each.setAttribute("aria-pressed", String(each.dataset.to === String(value)));
  }
}

// ---- words in passing ------------------------------------------------------------------------------------------------
let toast = null;

export function say(text, drawer = null) {
  const place = doc.getElementById("toast");
  if (!place || !text) return;
  place.textContent = text;
  if (drawer) place.dataset.opens = drawer;
  else delete place.dataset.opens;
  place.hidden = false;
  clearTimeout(toast);
  toast = setTimeout(() => (place.hidden = true), TOAST_MS);
}

// A stop that an edit has raised is said at once, wherever the person looks.
let stops = null;

function warn(study) {
  if (!study || study === now.warned) return;
  now.warned = study;
  const named = new Map();
  for (const each of study.cautions || []) {
    if (each.level === "stop") named.set(`${each.rule} ${(each.objects || []).join()}`, each);
  }
  const fresh = stops ? [...named.keys()].filter((key) => !stops.has(key)) : [];
  if (fresh.length) say(`Stop: ${named.get(fresh[0]).fact}`, "cautions");
  stops = new Set(named.keys());
}

const told = { trouble: null, caution: null };

export function tell(trouble, history, caution) {
  if (trouble && trouble !== told.trouble) say(trouble.text);
  told.trouble = trouble;
  for (const name of ["undo", "redo"]) {
    const press = doc.querySelector(`[data-act="${name}"]`);
    if (press && history) press.disabled = !history[name];
  }
  if (caution !== null && caution !== undefined && caution !== told.caution) {
    showCaution(caution);
    setTimeout(() => put("caution", null), 0); // so that the same mark can be pressed again
  }
  told.caution = caution;
  return Date.now();
}

function showCaution(index) {
  open("cautions");
  for (const each of doc.querySelectorAll("[data-caution-at]")) {
    const chosen = Number(each.dataset.cautionAt) === index;
    each.classList.toggle("is-chosen", chosen);
    if (chosen) {
      each.scrollIntoView({ block: "nearest" });
      each.focus({ preventScroll: true });
    }
  }
}

// ---- drawers ---------------------------------------------------------------------------------------------------------
const openers = new Map();

export function open(name, from = null) {
  const drawer = doc.getElementById(`drawer-${name}`);
  if (!drawer) return;
  for (const each of doc.querySelectorAll(".lm-drawer")) if (each !== drawer) each.hidden = true;
  if (!drawer.hidden) return;
  drawer.hidden = false;
  cover();
  if (from) openers.set(name, from);
  if (name === "start") put("start-asked", Date.now());
  if (name === "open") {
    examplePictures();
    keptPlans();
  }
  if (name === "heights" && from && from.dataset.light) wanted.heights = { light: from.dataset.light };
  if (name === "compare") wanted.compare = { first: now.setup, second: null };
  askDrawers();
  Bridge.refresh();
  const head = drawer.querySelector("h2");
  if (head) head.focus({ preventScroll: true });
}

export function close(name) {
  const drawer = doc.getElementById(`drawer-${name}`);
  if (!drawer || drawer.hidden) return;
  drawer.hidden = true;
  cover();
  const from = openers.get(name);
  const back = from && from.isConnected && !from.closest("[hidden], [inert]") ? from : doc.getElementById("stage");
  if (back) back.focus({ preventScroll: true });
}

/** What lies under an open drawer cannot be reached by Tab or read aloud: one would be lost there. */
function cover() {
  const drawer = doc.querySelector(".lm-drawer:not([hidden])");
  for (const each of doc.querySelectorAll(".lm-answers, .lm-stage")) {
    const over = drawer && drawer.getBoundingClientRect(), box = each.getBoundingClientRect();
    each.inert = Boolean(over && over.left <= box.left + 2 && over.right >= box.right - 2 && over.top <= box.top + 2 && over.bottom >= box.bottom - 2);
  }
}

// ---- presses ---------------------------------------------------------------------------------------------------------
const PRESSES = [
  ["data-command", (el) => send(JSON.parse(el.dataset.command))],
  ["data-select", (el) => select(el.dataset.select ? [el.dataset.select] : [])],
  ["data-opens", (el) => {
    if (el.id === "toast") el.hidden = true;
    open(el.dataset.opens, el);
  }],
  ["data-closes", (el) => close(el.dataset.closes)],
  ["data-setup", (el) => put("setup", el.dataset.setup)],
  ["data-switch", (el) => turn(el.dataset.switch, el.dataset.to)],
  ["data-place", (el) => add({ what: el.dataset.place })],
  ["data-example", (el) => replaceBy(`example/${encodeURIComponent(el.dataset.example)}`)],
  ["data-kept", (el) => replaceBy(`kept/${el.dataset.kept}`)],
  ["data-find-from", (el) => findFrom(JSON.parse(el.dataset.findFrom))],
  ["data-act", (el) => ACTS[el.dataset.act]()],
];

function onClick(event) {
  for (const [name, act] of PRESSES) {
    const element = closest(event, `[${name}]`);
    if (element && !element.disabled) {
      act(element);
      mark();
      return;
    }
  }
}

function select(ids) {
  put("selection", ids);
  Bridge.show({ selection: ids });
}

function turn(store, value) {
  put(store, value);
  if (store === "system") keep("lumen-units", value);
}

function onDragStart(event) {
  const tile = closest(event, "[data-place]");
  const into = doc.getElementById("into");
  const chosen = tile && { what: tile.dataset.place, ...(into && into.value ? { into: into.value } : {}) };
  if (chosen) event.dataTransfer.setData(Drop.KIND, JSON.stringify(chosen));
}

function add(args) {
  const into = doc.getElementById("into");
  send({ name: "place", args: { ...args, setup: now.setup, ...(into && into.value ? { into: into.value } : {}) } });
}

async function replaceBy(path) {
  const plan = await ask(path);
  if (!plan) return;
  send({ name: "replace", args: { plan } });
  close("open");
}

async function ask(path, body = null) {
  try {
    const answer = await (body ? post(path, body) : fetch(path));
    const found = await answer.json().catch(() => ({}));
    if (answer.ok) return found;
    say(sentences(found) || `The page's server could not do this (${answer.status}). Your plan is kept in this browser.`);
  } catch {
    say("The page's server does not answer. Your plan is kept in this browser.");
  }
  return null;
}

const sentences = (found) => (found.faults || []).map((each) => `${each.field} ${each.rule}`.trim()).join("; ");

const post = (path, body) => fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });

/** Waits until every change that was made is in the plan; says what is not, and returns whether to go on. */
async function allTaken(what, most_ms) {
  if (measuring) measure();
  Bridge.flush();
  if (!Bridge.waiting()) return true;
  const lost = doc.documentElement.dataset.lmServer === "lost";
  if (!lost && (await Bridge.whenEmpty(most_ms))) return true;
  say(`${what}: your last change has not been taken up yet. It is kept and waits; press again once the page has answered.`);
  return false;
}

/** What stands refused in a form and so is not in the plan, to be said beside "Saved". */
function without() {
  const refused = [...doc.querySelectorAll('[aria-invalid="true"]')].map((input) => {
    const label = input.closest("label");
    const words = label && label.querySelector("span");
    return words ? words.textContent : "a field";
  });
  return refused.length ? ` Not in it, because it was refused: ${[...new Set(refused)].join(", ")}.` : "";
}

async function save() {
  if (!(await allTaken("Not saved", SAVE_WAIT_MS))) return;
  const plan = now.document.plan;
  if (now.opened && now.opened.file) return saveTo(plan, false);
  let text = JSON.stringify(plan, null, 2); // what the browser holds, should the server be away
  try {
    const answer = await post("file", { plan });
    if (answer.ok) text = await answer.text();
  } catch {
    /* the plan is here all the same */
  }
  Files.save(text, plan.title);
  say(`Saved as one small file.${without()}`);
}

/** Into the file that was opened; one that somebody else has changed since is written over only when told to. */
async function saveTo(plan, over) {
  try {
    const answer = await post("save", { plan, based_on: now.opened.version, over });
    const found = await answer.json().catch(() => ({}));
    if (answer.ok && found.saved) {
      now.opened = { ...now.opened, version: found.version };
      return say(`Saved to ${found.saved}.${without()}`);
    }
    if (!answer.ok) return say(`Not saved. ${sentences(found) || "The page's server could not do this."}`);
    return Choice.ask(`${found.file} was changed on disk ${Kept.when(found.changed)}, since it was opened here.`, [
      ["Show what is in the file", showFile],
      ["Write over it", () => saveTo(plan, true)],
    ]);
  } catch {
    return say("Not saved: the page's server does not answer. Your plan is kept in this browser.");
  }
}

async function showFile() {
  const found = await ask("opened");
  if (!found) return;
  now.opened = { ...now.opened, version: found.version };
  send({ name: "replace", args: { plan: { identity: now.document.plan.identity, ...found.plan } } });
}

/** A form into a new tab: the sheet is a page of its own, to print or to keep. */
async function sheet() {
  if (!(await allTaken("No sheet yet", SHEET_WAIT_MS))) return;
  const form = doc.createElement("form");
  Object.assign(form, { method: "post", action: "sheet", target: "_blank", hidden: true });
  const input = doc.createElement("input");
  Object.assign(input, { type: "hidden", name: "plan", value: JSON.stringify(now.document.plan) });
  form.append(input);
  doc.body.append(form);
  form.submit();
  form.remove();
}

function pick(kind, then) {
  const input = doc.createElement("input");
  input.type = "file";
  input.accept = kind;
  input.id = "picked-file";
  input.hidden = true;
  doc.body.append(input);
  input.addEventListener("change", () => {
    if (input.files[0]) then(input.files[0]);
    input.remove();
  });
  input.click();
}

function openFile(file) {
  Files.read(file).then(
    (plan) => {
      send({ name: "replace", args: { plan } });
      close("open");
    },
    (error) => say(error.message)
  );
}

async function lightFromFile(file) {
  if (file.size > 400000) return say(`${file.name} is too large for a distribution file (over 400 kB)`);
  return add({ what: "light from file", lm63: await file.text(), file_name: file.name });
}

const ACTS = {
  undo: () => Bridge.undo(),
  redo: () => Bridge.redo(),
  save,
  sheet,
  theme() {
    const next = doc.documentElement.dataset.theme === "light" ? "dark" : "light";
    Bridge.theme(next);
    keep("lumen-theme", next);
  },
  find: () => find(),
  "find-stop": () => Finder.stop(),
  "open-file": () => pick(".json,application/json", openFile),
  lm63: () => pick(".ies,.IES,text/plain", lightFromFile),
};

/** Looks for plans from what is on screen; a change that is on its way is waited for. */
async function find() {
  if (await allTaken("Not yet", SAVE_WAIT_MS)) Finder.start(now.document.plan, now.document.revision);
}

/** Tries a plan, and looks on from there. */
async function findFrom(command) {
  send(command);
  await find();
}

// ---- forms -----------------------------------------------------------------------------------------------------------
function onChange(event) {
  const wish = closest(event, "[data-wish]");
  if (wish) {
    const args = { field: wish.dataset.wishField, value: wish.value.trim() === "" ? null : Number(wish.value), section: "aims" };
    send({ name: "set", id: wish.dataset.wish, args }, wish.closest(".pg-limit"));
    return;
  }
  const reads = closest(event, "[data-reads-in]");
  if (reads) {
    const value = [...reads.querySelectorAll("[data-reads]:checked")].map((box) => box.dataset.reads);
    send({ name: "set", id: reads.dataset.readsIn, args: { field: "reading", value, section: "setups" } });
    return;
  }
  const run = closest(event, "[data-run]");
  if (run) {
    send({ name: "run", args: { setup: run.dataset.runIn, of: run.dataset.run, value: run.checked } });
    return;
  }
  const compared = closest(event, "[data-compare]");
  if (compared) {
    for (const each of doc.querySelectorAll("[data-compare]")) wanted.compare[each.dataset.compare] = each.value;
    askDrawers();
    return;
  }
  const field = closest(event, "[data-field]");
  if (!field || event.target.type === "range") return;
  const text = textOf(field, event.target);
  const section = field.dataset.section ? { section: field.dataset.section } : {};
  send({ name: "type", id: field.dataset.id, args: { field: field.dataset.field, text, system: now.system, ...section } }, field);
}

/** What a field says: its text, the plan's name on one line, or the words of its ticked boxes. */
function textOf(field, input) {
  if (input.id === "title") return input.value.replace(/\s+/g, " ");
  if (input.type === "checkbox") return [...field.querySelectorAll("input:checked")].map((each) => each.value).join(", ");
  return input.value;
}

let measuring = null; // {field, text, timer} while somebody types a measurement

function onInput(event) {
  if (event.target.id === "title") fitTitle();
  const field = closest(event, "[data-measure]");
  if (!field) return;
  if (measuring && measuring.field !== field) measure();
  else if (measuring) clearTimeout(measuring.timer);
  measuring = { field, text: event.target.value, timer: setTimeout(measure, MEASURE_WAIT_MS) };
}

function measure() {
  const { field, text, timer } = measuring;
  measuring = null;
  clearTimeout(timer);
  if (text.trim()) send({ name: "measure", args: { what: field.dataset.measure, text, system: now.system } }, field);
}

/** Enter on the thing in the hand goes to its first number; Escape there goes back to the thing. */
function onKeyFirst(event) {
  if (event.defaultPrevented || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
  const thing = closest(event, ".lm-thing.is-selected");
  if (event.key === "Enter" && thing && doc.querySelectorAll(".lm-view-frame:not([hidden]) .lm-thing.is-selected").length === 1) {
    const field = doc.querySelector(".pg-hand input, .pg-hand select, .pg-hand button");
    if (!field) return;
    event.preventDefault();
    event.stopPropagation();
    field.focus();
    if (field.select) field.select();
  } else if (event.key === "Escape" && closest(event, ".pg-hand")) {
    const back = doc.querySelector(".lm-view-frame:not([hidden]) .lm-thing.is-selected");
    if (!back) return;
    event.preventDefault();
    event.stopPropagation();
    back.focus({ preventScroll: true });
  }
}

/** The card of what is in the hand lies on the side where the thing is not. */
function cardAside() {
  const hand = doc.getElementById("hand");
  const thing = doc.querySelector(".lm-view-frame:not([hidden]) .lm-thing.is-selected");
  if (!hand || !thing) return;
  const [box, frame] = [thing.getBoundingClientRect(), hand.parentElement.getBoundingClientRect()];
  hand.dataset.side = box.left + box.width / 2 < frame.left + frame.width / 2 ? "right" : "left";
}

function onKey(event) {
  if (event.key === "Enter" && event.target.id === "title") {
    event.preventDefault(); // a name is one line, however it is shown
    event.target.blur();
  }
  if (event.key === "Escape" && !event.defaultPrevented) {
    const drawer = doc.querySelector(".lm-drawer:not([hidden])");
    if (drawer) close(drawer.id.replace("drawer-", ""));
  }
}

function onDrop(event) {
  const file = event.dataTransfer && [...event.dataTransfer.files].find((each) => /\.ies$/i.test(each.name));
  if (!file) return;
  event.preventDefault();
  lightFromFile(file);
}

// ---- exposure and pictures -------------------------------------------------------------------------------------------
/** How bright a surface is shown, from eyes used to the dark (1 cd/m2) to eyes used to light (400 cd/m2). */
const exposureOf = (value) => 10 ** (2.6 * (value / 100));
const valueOf = (exposure) => Math.round((100 * Math.log10(exposure)) / 2.6);

function exposureSlider() {
  const slot = doc.getElementById("exposure-slot");
  const label = doc.createElement("label");
  label.className = "lm-range";
  const words = doc.createElement("span");
  words.textContent = "Eyes used to dark";
  const slider = doc.createElement("input");
  const ends = doc.createElement("span");
  ends.textContent = "light";
  Object.assign(slider, { type: "range", min: "0", max: "100", value: String(valueOf(25)), id: "exposure-slider" });
  const show = () => slider.style.setProperty("--lm-at", `${slider.value}%`);
  slider.addEventListener("input", () => {
    show();
    Bridge.show({ exposure: exposureOf(Number(slider.value)) });
  });
  slider.addEventListener("change", () => put("exposure", exposureOf(Number(slider.value))));
  show();
  label.append(words, slider, ends);
  slot.append(label);
}

async function keptPlans() {
  const found = await ask("kept");
  if (found) Kept.fill(doc.getElementById("kept-plans"), found.kept);
}

async function examplePictures() {
  for (const element of doc.querySelectorAll("[data-example-picture]:empty")) {
    const image = doc.createElement("img");
    image.alt = "";
    image.src = `picture/${encodeURIComponent(element.dataset.examplePicture)}`;
    element.append(image);
  }
}

// ---- begin -----------------------------------------------------------------------------------------------------------
function keep(key, value) {
  try {
    localStorage.setItem(key, value);
  } catch {
    /* storage is switched off: nothing to keep it in */
  }
}

function kept(key) {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
}

function listen(opened) {
  listening = true;
  now.opened = opened;
  Bridge.settings({ historyKey: `lumen-history${opened && opened.key ? ` ${opened.key}` : ""}`, opened: Boolean(opened && opened.file), onRefused: dropped });
  doc.addEventListener("click", onClick);
  doc.addEventListener("change", onChange);
  doc.addEventListener("input", onInput);
  doc.addEventListener("focusout", (event) => event.target.id === "title" && setTimeout(showTitle, 0));
  doc.addEventListener("keydown", onKeyFirst, true);
  addEventListener("resize", cover);
  addEventListener("resize", fitTitle);
  doc.addEventListener("keydown", onKey);
  doc.addEventListener("drop", onDrop);
  doc.addEventListener("dragstart", onDragStart);
  exposureSlider();
  Progress.start(doc.getElementById("progress"), { waiting: Bridge.waiting });
  Bridge.theme(kept("lumen-theme") || "dark");
  const units = kept("lumen-units");
  if (units === "ft-in") put("system", units);
}
