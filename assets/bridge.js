/* bridge: what joins the drawings to the page's store and its server.
 *
 *   begin({historyKey, opened, onRefused(stamp, faults)})   follows the store; see store.js for what it holds
 *   command(cmd) -> stamp, answered({stamp, faults}), undo(), redo(), refresh(), theme("dark" | "light")
 *   away() -> Promise       a request found nobody: said; kept once the server answers again
 *   waiting() -> number of commands that are not answered; flush(), whenEmpty(ms) -> Promise<bool>   send what a hand has just
 *       let go; all commands are answered
 *   times   last times from pointer to number on screen [ms] (newest 300), for measuring
 *
 * Elements say by attributes what is drawn in them; they are found and filled whenever something changes:
 *   data-lm-view="wall" | "above" | "lux" (with data-lm-grid, data-lm-title) | "legend"
 *   data-lm-thumb="<setup id>"      a small lit picture          data-lm-levels="<setup id>"  the setup's sliders
 *   data-live..., data-live-aim     numbers and states that follow the hand (see live.js)
 * A command goes to the server under "command", one at a time; each must be answered, done or refused, with faults
 * [{field, rule, value}] when it was refused, after the new plan is in the store.
 * POST /preview {plan (its text), command, setup, surfaces} -> {planes, eyes, fields}; 400 -> {faults}. At most one is on its way;
 * the newest waits.
 */
import { all, closest } from "./dom.js";
import * as Above from "./above.js";
import { back, isAlive } from "./back.js";
import * as Choice from "./choice.js";
import * as Files from "./files.js";
import * as History from "./history.js";
import * as Kept from "./kept.js";
import * as Keys from "./keys.js";
import { latest } from "./latest.js";
import * as Levels from "./levels.js";
import * as Live from "./live.js";
import * as Lux from "./lux.js";
import * as Plan from "./plan.js";
import { queue } from "./queue.js";
import * as Relight from "./relight.js";
import { post, setProps, tell } from "./server.js";
import { PANELS, store } from "./store.js";
import * as Side from "./side.js";
import * as Thumb from "./thumb.js";
import * as Wall from "./wall.js";
import { watch } from "./watch.js";
import * as Windows from "./windows.js";
import * as Works from "./works.js";


/**
 * How the page works; begin() sets it. opened: the plan on show came from a file that the server was started with;
 * onRefused: nothing came of a command.
 * @type {{historyKey: string, opened: boolean, onRefused: (stamp: number, faults: any[]) => void}}
 */
const chosen = { historyKey: "lumen-history", opened: false, onRefused: () => {} };
let ready = null; // the maps as relight.js prepares them
let followed = null; // the plan that was followed last
const views = new Map(); // element -> {kind, view}
export const times = [];
let history = null;
let restored = false;
let leaving = false;
const LASTING_BYTES = 60000;
const SETTLE_MS = 250;
let settling = null;
let stepped = null; // {stamp, from}: the undo or redo that is on its way, and the history before it
let slide = null; // {setup, levels} while a level slider is in the hand

// What depends on the settings is made at first use.
function once(make) {
  let made;
  return () => (made = made || make());
}

// ---- out to the page -------------------------------------------------------------------------------------------------
const say = (text) => store.set({ trouble: { text } });

const memory = once(() => Windows.store({ key: chosen.historyKey, local: localStorage, session: sessionStorage }));

const keeper = once(() => History.keeper({ storage: memory(), key: chosen.historyKey, onTrouble: say }));

// What the folder held of a plan when this window last wrote it there or, before that, when this browser did.
const bases = new Map();
const baseKey = (identity) => `lumen-kept ${identity}`;

function baseOf(identity) {
  if (!bases.has(identity)) {
    try {
      bases.set(identity, localStorage.getItem(baseKey(identity)));
    } catch {
      bases.set(identity, null);
    }
  }
  return bases.get(identity);
}

function setBase(identity, version) {
  bases.set(identity, version);
  try {
    localStorage.setItem(baseKey(identity), version);
  } catch {
    /* no room: the folder then keeps one version more */
  }
}

const folder = once(() => Kept.keeper({
  async send(plan) {
    const body = { plan, based_on: baseOf(plan.identity) };
    // A page that closes lets a request live on only when it is small.
    const answer = await post("keep", body, { keepalive: leaving && JSON.stringify(body).length < LASTING_BYTES });
    const found = await answer.json();
    if (!answer.ok) throw Object.assign(new Error("not kept"), { faults: found.faults || [] });
    setBase(plan.identity, found.version);
    if (found.other) elsewhere(plan.identity, found.other);
  },
  onTrouble(error) {
    // A server that is away is told of elsewhere; a folder that takes nothing is told here.
    const why = (error.faults || []).map((fault) => fault.rule).join("; ");
    if (why) say(`Your plan could not be kept in your own folder: it ${why}. This browser keeps it; the folder is tried again.`);
  },
  onBack: () => say("Your plan is kept in your own folder again."),
}));

// ---- two windows on one plan -------------------------------------------------------------------------------------------
let asking = false;

/** Another window has changed this plan: both are kept, and the person says which goes on here. */
function elsewhere(identity, other = null) {
  if (asking || !history) return;
  asking = true;
  memory().part(); // from now on neither writes over the other
  keeper().save(history);
  const done = (act) => () => {
    asking = false;
    act();
  };
  Choice.ask("This plan was also changed in another window. Both are kept.", [
    ["Show the other one here", done(() => showOther(identity, other))],
    ["Go on here with a copy of its own", done(copyOfItsOwn)],
  ]);
}

async function showOther(identity, other) {
  memory().join();
  const kept = keeper().load();
  let plan = other ? null : kept?.present;
  if (!plan) {
    const answer = await fetch(`kept/${other ? other.mark : identity}`).catch(() => null);
    plan = answer?.ok ? await answer.json() : null;
  }
  if (!plan) return say("The other window's plan cannot be read just now; yours goes on.");
  bases.delete(identity);
  if (other) bases.set(identity, null); // what lies there is known now; the folder keeps what it replaces
  return command({ name: "replace", args: { plan } });
}

function copyOfItsOwn() {
  const identity = Windows.fresh();
  const title = `${history.present.title.slice(0, 112)} (copy)`;
  history = History.as(history, identity);
  command({ name: "replace", args: { plan: { ...history.present, title } } });
}

/** A request beside the commands came to nothing: the page says so; kept once the server answers again. */
export function away() {
  commands().noAnswer();
  return back();
}

const commands = once(() => queue({
  deliver: (command) => tell("command", command),
  isAlive,
  onLost() {
    document.documentElement.dataset.lmServer = "lost";
  },
  onBack() {
    delete document.documentElement.dataset.lmServer;
  },
  onDrop: (dropped) => refused(dropped.stamp, [{ field: "", rule: "", text: DROPPED }]),
}));

const DROPPED = "The page's server could not do this, so it was left out. Your plan is as it was before.";

/**
 * Dash sends its own requests. The one that carries a command is sent again by the queue; what else was cut off, such as the
 * numbers of a plan, is asked for anew once the server is back.
 */
function watchRequests() {
  const isOurs = (url) => /_dash-update-component/.test(url);
  const isCommand = (url, options) => isOurs(url) && /^.{0,40}document\.data/.test(options?.body || "");
  const isOther = (url, options) => isOurs(url) && !isCommand(url, options);
  const fetch = watch(window.fetch.bind(window), { isWanted: isCommand, onFailure: (status) => commands().failed(status) });
  window.fetch = watch(fetch, { isWanted: isOther, onFailure: (status) => (status ? undefined : askAnew()) });
}

let anew = false;

async function askAnew() {
  if (anew) return;
  anew = true;
  await away();
  anew = false;
  if (store.now.document) setProps("document", { data: { ...store.now.document } });
}

export function command(cmd) {
  const sent = commands().push(cmd);
  if (cmd.name === "move" || cmd.name === "set" || cmd.name === "level") Live.dim(document, true);
  for (const { view, kind } of views.values()) if (kind !== "lux") view.update({ pending: drawable() });
  return sent;
}

const drawable = () => commands().pending().filter((cmd) => ["move", "set", "level"].includes(cmd.name));

/** @param {{stamp?: number, faults?: any[]}} answer */
export function answered({ stamp, faults } = {}) {
  if (stepped && stamp === stepped.stamp && !faults?.length) stepped = null;
  commands().answered(stamp);
  if (faults?.length) refused(stamp, faults);
  for (const { view, kind } of views.values()) if (kind !== "lux") view.update({ pending: drawable() });
}

/** Nothing came of a command: what it had already drawn goes back, and the page says why. */
function refused(stamp, faults) {
  slide = null;
  for (const { view } of views.values()) view.revert();
  Live.dim(document, commands().size() > 0);
  writeAnswers(store.now.study);
  if (stepped && stepped.stamp === stamp) {
    // an undo or redo that failed has not happened
    history = History.record(stepped.from, store.now.plan);
    stepped = null;
    keeper().save(history);
    store.set({ history: History.can(history) });
  }
  chosen.onRefused(stamp, faults);
  say(faults.map((fault) => fault.text || `${fault.field} ${fault.rule}`).join("; "));
  for (const { view, kind } of views.values()) if (kind !== "lux") view.update({ pending: drawable() });
}

// ---- live answers ------------------------------------------------------------------------------------------------------
const previews = once(() => latest(
  async (question, signal) => {
    const { plan, command: cmd, setup } = question;
    const answer = await post("preview", { plan: textOf(plan), command: cmd, setup, surfaces: surfacesInSight() }, { signal });
    const body = await answer.json();
    if (!answer.ok) throw Object.assign(new Error("refused"), { faults: body.faults || [] });
    return body;
  },
  {
    onAnswer(answer, question) {
      if (answer.stale) return Live.dim(document, true); // too slow to follow the hand: the old numbers stay, dimmed
      for (const { view } of views.values()) if (view.preview) view.preview(answer.fields);
      writeAnswers(answer);
      setRefused(null);
      onScreen(() => {
        times.push(performance.now() - question.at);
        if (times.length > 300) times.shift();
      });
      return undefined;
    },
    onError(error) {
      if (error.faults) setRefused(error.faults);
      else if (error.name !== "AbortError") commands().noAnswer();
    },
  }
));

/** After the frame that shows what was written. */
const onScreen = (then) => requestAnimationFrame(() => setTimeout(then, 0));

// The plan stays the same while a hand moves something: as one text it is written once here and read once there.
const written = { plan: null, text: "" };

function textOf(plan) {
  if (plan !== written.plan) Object.assign(written, { plan, text: JSON.stringify(plan) });
  return written.text;
}

const SURFACES = { wall: ["wall"], above: ["floor", "mattress"] };

function surfacesInSight() {
  const names = new Set();
  for (const [element, { kind }] of views) {
    if (element.closest("[hidden]")) continue; // asking for a width would lay the page out anew
    for (const name of kind === "lux" ? [element.dataset.lmGrid] : store.now.paint === "none" ? [] : SURFACES[kind]) names.add(name);
  }
  return [...names];
}

function setRefused(faults) {
  for (const { view } of views.values()) view.element.classList.toggle("is-refused", Boolean(faults));
}

function preview(cmd) {
  previews().ask({ plan: planNow(), command: cmd, setup: store.now.setup, at: performance.now() });
}

const planNow = () => drawable().reduce(Plan.apply, store.now.plan);

function writeAnswers(answers) {
  if (!answers) return 0;
  return Live.write(document, { planes: answers.planes, eyes: answers.eyes, aims: answers.aims, setup: store.now.setup });
}

// ---- views -------------------------------------------------------------------------------------------------------------
const opts = {
  holdsPending: true,
  onCommand: command,
  onPreview: preview,
  onPreviewEnd(kept) {
    previews().cancel();
    setRefused(null);
    if (!kept) {
      for (const { view, kind } of views.values()) if (kind === "lux") view.revert();
      writeAnswers(store.now.study);
    }
  },
  onSelect(ids) {
    tell("selection", ids);
  },
  onPlaced: (plan) => Works.tell(plan),
  onCaution: (index) => store.set({ caution: { index } }),
  onUndo: () => undo(),
  onRedo: () => redo(),
};

const MOUNTS = { wall: Wall.mount, above: Above.mount, side: Side.mount };

function findViews() {
  for (const [element, { view }] of views) {
    if (element.isConnected && element.dataset.lmView) continue;
    view.destroy();
    views.delete(element);
  }
  for (const element of all("[data-lm-view]")) {
    const kind = element.dataset.lmView;
    if (kind === "legend") {
      if (!element.firstChild) Lux.legend(element);
      continue;
    }
    const has = views.get(element);
    if (has && element.contains(element.querySelector(".lm-canvas"))) continue;
    if (MOUNTS[kind]) views.set(element, { kind, view: MOUNTS[kind](element, opts) });
    if (kind === "lux") views.set(element, { kind, view: Lux.mount(element, {}) });
  }
}

const slideOf = (setup) => (slide && slide.setup === setup ? slide.levels : null);

export function refresh() {
  findViews();
  const { plan, study, setup, selection, system, exposure, paint, patch } = store.now;
  const shown = { plan, study, setup, selection, units: system, exposure, paint, patch };
  const levels = slideOf(store.now.setup);
  for (const [element, { kind, view }] of views) {
    const extra = kind === "lux" ? { grid: element.dataset.lmGrid, title: element.dataset.lmTitle, setup: element.dataset.lmSetup || store.now.setup } : { pending: drawable() };
    view.update({ ...shown, fields: ready, levels, ...extra });
  }
  paintThumbs();
  for (const element of all("[data-lm-levels]")) {
    if (store.now.plan) Levels.fill(element, { plan: store.now.plan, study: store.now.study, setup: String(element.dataset.lmLevels), levels: slideOf(element.dataset.lmLevels), onSlide, onSet });
  }
  for (const slider of all("input[type=range]")) fillTrack(slider);
}

/** How far a slider's track is filled; style.css draws it. */
function fillTrack(slider) {
  const low = Number(slider.min || 0), high = Number(slider.max || 100);
  slider.style.setProperty("--lm-at", `${(100 * (slider.value - low)) / (high - low || 1)}%`);
}

function paintThumbs(only = null) {
  if (!store.now.plan || !ready) return;
  for (const element of all("[data-lm-thumb]")) {
    const setup = element.dataset.lmThumb;
    if (only && setup !== only) continue;
    const levels = slideOf(setup);
    Thumb.paint(element, { plan: store.now.plan, ready, setup, levels, exposure: store.now.exposure });
  }
}

const soon = new Set(); // setups whose small picture waits for the next frame

function askThumb(setup) {
  if (!soon.size) {
    requestAnimationFrame(() => {
      const setups = [...soon];
      soon.clear();
      setups.forEach(paintThumbs);
    });
  }
  soon.add(setup);
}

// ---- level sliders -----------------------------------------------------------------------------------------------------
function onSlide(setup, id, value) {
  if (!store.now.plan) return;
  const base = slide && slide.setup === setup ? slide.levels : Relight.levelsOf(store.now.plan, setup);
  slide = { setup, levels: { ...base, [id]: value } };
  if (setup === store.now.setup) {
    for (const { view } of views.values()) view.update({ levels: slide.levels });
    const quick = store.now.study && Levels.quick(store.now.plan, store.now.study, slide.levels, setup);
    if (quick) writeAnswers(quick);
  }
  askThumb(setup);
  preview({ name: "level", args: { setup, of: id, value } });
}

/** A hand that lets go sends one command; so does a run of arrow keys, when it comes to rest. */
function onSet(setup, id, value) {
  const key = `${setup}/${id}`;
  if (settling && settling.key !== key) settle();
  if (settling) clearTimeout(settling.timer);
  settling = { key, command: { name: "level", args: { setup, of: id, value } }, timer: setTimeout(settle, SETTLE_MS) };
}

function settle() {
  const { command: cmd, timer } = settling;
  settling = null;
  clearTimeout(timer);
  previews().cancel();
  command(cmd);
}

const isSliding = () => settling !== null || commands().pending().some((cmd) => cmd.name === "level");

// ---- in from the page --------------------------------------------------------------------------------------------------
const FOLLOWED = ["plan", "study", "fields", "setup", "selection", "system", "exposure", "paint", "patch", ...PANELS];

/** The page knows something new: the history takes a new plan up, and all that is drawn is drawn again. */
function follow(now, changed) {
  if (changed.has("fields")) ready = Relight.prepare(now.fields);
  const planChanged = changed.has("plan") && !History.same(now.plan, followed);
  followed = now.plan;
  if (now.plan && !restored) {
    restored = true;
    if (restore(now.plan)) return refresh();
  }
  if (planChanged) {
    Works.follow();
    if (history) folder().note(now.plan);
    history = History.record(history, now.plan);
    keeper().save(history);
    if (!isSliding()) slide = null;
    store.set({ history: History.can(history) });
  }
  if (now.study) {
    Live.dim(document, commands().size() > 0);
    writeAnswers(now.study);
  }
  return refresh();
}

/** Take up the plan of the last visit: its history as it was, its plan sent as a command. */
function restore(first) {
  const kept = keeper().load();
  // A file that was opened is taken up where it was left only if what is kept grew out of this very file.
  const alike = (plan) => History.same({ ...plan, identity: first.identity }, first);
  const other = kept && chosen.opened && ![...kept.past, kept.present].some(alike);
  if (!kept || other || History.same(kept.present, first)) {
    history = (!other && kept) || History.start(first);
    store.set({ history: History.can(history) });
    return false;
  }
  history = kept;
  store.set({ history: History.can(history) });
  command({ name: "replace", args: { plan: kept.present } });
  return true;
}

function step(to) {
  if (to === history) return;
  const from = stepped ? stepped.from : history;
  history = to;
  keeper().save(history);
  store.set({ history: History.can(history) });
  stepped = { stamp: command({ name: "replace", args: { plan: history.present } }), from };
}

export const undo = () => step(History.undo(history));
export const redo = () => step(History.redo(history));

export function theme(name) {
  document.documentElement.dataset.theme = name === "light" ? "light" : "dark";
}

/** Joins the drawings to the store; settings: see chosen. */
export function begin(settings = {}) {
  Object.assign(chosen, settings);
  store.subscribe(FOLLOWED, follow);
  watchRequests();
  Windows.watch({ key: chosen.historyKey, onOther: () => !memory().apart() && elsewhere(store.now.plan?.identity) });
  addEventListener("pagehide", () => {
    leaving = true;
    keeper().flush();
    folder().flush();
  });
  document.addEventListener("visibilitychange", () => document.visibilityState === "hidden" && keeper().flush());
  document.addEventListener("keydown", (event) => {
    if (event.defaultPrevented || !store.now.plan) return;
    const typing = closest(event, "input, textarea, select, [contenteditable=true]");
    if (typing && typing.type !== "range") return;
    const what = Keys.meaning(event, { system: store.now.system });
    if (what && (what.do === "undo" || what.do === "redo")) {
      event.preventDefault();
      if (what.do === "undo") undo();
      else redo();
    }
  });
  document.addEventListener("toggle", (event) => closest(event, "[data-sights]") === event.target && refresh(), true);
  document.addEventListener("input", (event) => closest(event, "input[type=range]") && fillTrack(event.target));
  Files.accept(document, { onPlan: (plan) => command({ name: "replace", args: { plan } }), onTrouble: say });
}

export const mounted = () => [...views.values()].map(({ view }) => view);
export const waiting = () => commands().size();
export const flush = () => settling && settle(); // a slider that has just come to rest
export const whenEmpty = (most_ms) => commands().whenEmpty(most_ms);
