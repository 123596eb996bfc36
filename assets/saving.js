/* saving: plans out to files and paper, and in from them.
 *
 *   begin(opened)      opened: the file the server was started with: {file, key, version}
 *   save(), sheet(), openFile(file), replaceBy(path), lightFromFile(file), pick(kind, then), add(args)
 *   allTaken(what, ms) -> Promise<bool>   whether every change that was made is in the plan; says what is not
 *   SAVE_WAIT_MS
 */
import { field } from "./dom.js";
import { ask } from "./asking.js";
import { isAway } from "./back.js";
import * as Bridge from "./bridge.js";
import * as Choice from "./choice.js";
import { close } from "./drawers.js";
import * as Files from "./files.js";
import { measure, send, without } from "./forms.js";
import * as Kept from "./kept.js";
import { say } from "./say.js";
import { faultsIn, post } from "./server.js";
import { store } from "./store.js";

let opened = null;

export function begin(file) {
  opened = file;
}

export const SAVE_WAIT_MS = 20000;

const SHEET_WAIT_MS = 4000; // a browser opens a tab only shortly after a press

/** Waits until every change that was made is in the plan; says what is not, and returns whether to go on. */
export async function allTaken(what, most_ms) {
  measure();
  Bridge.flush();
  if (!Bridge.waiting()) return true;
  const lost = document.documentElement.dataset.lmServer === "lost";
  if (!lost && (await Bridge.whenEmpty(most_ms))) return true;
  say(`${what}: your last change has not been taken up yet. It is kept and waits; press again once the page has answered.`);
  return false;
}

export async function save() {
  if (!(await allTaken("Not saved", SAVE_WAIT_MS))) return;
  const plan = store.now.plan;
  if (opened?.file) return saveTo(plan, false);
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

let saves = 0;

/**
 * Into the file that was opened; one that somebody else has changed since is written over only when told to. Without a server
 * it is saved once that is back, unless a later press has saved meanwhile.
 */
async function saveTo(plan, over) {
  saves += 1;
  const mine = saves;
  for (;;) {
    const answer = await post("save", { plan, based_on: opened.version, over }).catch(() => null);
    if (mine !== saves) return undefined;
    if (answer && !isAway(answer)) return saved(answer, plan);
    say(`Not saved yet: the page's server does not answer. ${opened.file} is saved as soon as it is back.`);
    await Bridge.away();
    if (mine !== saves) return undefined;
  }
}

async function saved(answer, plan) {
  const found = await answer.json().catch(() => ({}));
  if (answer.ok && found.saved) {
    opened = { ...opened, version: found.version };
    return say(`Saved to ${found.saved}.${without()}`);
  }
  if (!answer.ok) return say(`Not saved. ${faultsIn(found) || "The page's server could not do this."}`);
  return Choice.ask(`${found.file} was changed on disk ${Kept.when(found.changed)}, since it was opened here.`, [
    ["Show what is in the file", showFile],
    ["Write over it", () => saveTo(plan, true)],
  ]);
}

async function showFile() {
  const found = await ask("opened");
  if (!found) return;
  opened = { ...opened, version: found.version };
  send({ name: "replace", args: { plan: { identity: store.now.plan.identity, ...found.plan } } });
}

/** A form into a new tab: the sheet is a page of its own, to print or to keep. */
export async function sheet() {
  if (!(await allTaken("No sheet yet", SHEET_WAIT_MS))) return;
  const form = document.createElement("form");
  Object.assign(form, { method: "post", action: "sheet", target: "_blank", hidden: true });
  const input = document.createElement("input");
  Object.assign(input, { type: "hidden", name: "plan", value: JSON.stringify(store.now.plan) });
  form.append(input);
  document.body.append(form);
  form.submit();
  form.remove();
}

export function pick(kind, then) {
  const input = document.createElement("input");
  input.type = "file";
  input.accept = kind;
  input.id = "picked-file";
  input.hidden = true;
  document.body.append(input);
  input.addEventListener("change", () => {
    if (input.files?.[0]) then(input.files[0]);
    input.remove();
  });
  input.click();
}

export function openFile(file) {
  Files.read(file).then(
    (plan) => {
      send({ name: "replace", args: { plan } });
      close("open");
    },
    (error) => say(error.message)
  );
}

export async function replaceBy(path) {
  const plan = await ask(path);
  if (!plan) return;
  send({ name: "replace", args: { plan } });
  close("open");
}

export function add(args) {
  const into = field("into");
  send({ name: "place", args: { ...args, setup: store.now.setup, ...(into?.value ? { into: into.value } : {}) } });
}

export async function lightFromFile(file) {
  if (file.size > 400000) return say(`${file.name} is too large for a distribution file (over 400 kB)`);
  return add({ what: "light from file", lm63: await file.text(), file_name: file.name });
}
