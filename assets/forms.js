/* forms: what is typed and ticked becomes a command, and a refusal stands at its field.
 *
 *   send(command, field)      a command; field is the form field that it comes from
 *   answered(data)            the server's answer to a command
 *   dropped(stamp, faults)    the server never did it
 *   onChange, onInput         listeners
 *   measure()                 sends the measurement that is being typed
 *   without()                 the words for what stands refused in a form and so is not in the plan
 */
import { all, closest } from "./dom.js";
import * as Bridge from "./bridge.js";
import { mark } from "./busy.js";
import { askDrawers, open, wanted } from "./drawers.js";
import { select } from "./hand.js";
import { say } from "./say.js";
import { tell } from "./server.js";
import { store } from "./store.js";
import { fitTitle } from "./title.js";

const MEASURE_WAIT_MS = 350;

const asked = new Map(); // stamp -> the form field that sent the command

/** @param {any} command  @param {HTMLElement | null} field */
export function send(command, field = null) {
  const stamp = Bridge.command(command);
  if (field) asked.set(stamp, field);
  mark();
}

export function answered(data) {
  if (!data) return;
  const field = asked.get(data.stamp);
  asked.delete(data.stamp);
  const faults = data.faults || [];
  if (data.made?.length) select(data.made);
  if (data.said) say(data.said);
  if (data.setup) {
    tell("setup", data.setup);
    open("setup");
  }
  if (field) fault(field, faults.map((each) => each.text).join(" "));
  const words = faults.map((each) => ({ ...each, field: each.text, rule: "" }));
  Bridge.answered({ stamp: data.stamp, faults: words });
}

/** A command that the server never did: its field says so, like one that was refused. */
export function dropped(stamp, faults) {
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

export function onChange(event) {
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
    for (const each of /** @type {HTMLSelectElement[]} */ (all("[data-compare]"))) wanted.compare[/** @type {"first" | "second"} */ (each.dataset.compare)] = each.value;
    askDrawers();
    return;
  }
  const field = closest(event, "[data-field]");
  if (!field || event.target.type === "range") return;
  const text = textOf(field, event.target);
  const section = field.dataset.section ? { section: field.dataset.section } : {};
  send({ name: "type", id: field.dataset.id, args: { field: field.dataset.field, text, system: store.now.system, ...section } }, field);
}

/** What a field says: its text, the plan's name on one line, or the words of its ticked boxes. */
function textOf(field, input) {
  if (input.id === "title") return input.value.replace(/\s+/g, " ");
  if (input.type === "checkbox") return [...field.querySelectorAll("input:checked")].map((each) => each.value).join(", ");
  return input.value;
}

let measuring = null; // {field, text, timer} while somebody types a measurement

export function onInput(event) {
  if (event.target.id === "title") fitTitle();
  const field = closest(event, "[data-measure]");
  if (!field) return;
  if (measuring && measuring.field !== field) measure();
  else if (measuring) clearTimeout(measuring.timer);
  measuring = { field, text: event.target.value, timer: setTimeout(measure, MEASURE_WAIT_MS) };
}

export function measure() {
  if (!measuring) return;
  const { field, text, timer } = measuring;
  measuring = null;
  clearTimeout(timer);
  if (text.trim()) send({ name: "measure", args: { what: field.dataset.measure, text, system: store.now.system } }, field);
}

/** What stands refused in a form and so is not in the plan, to be said beside "Saved". */
export function without() {
  const refused = all('[aria-invalid="true"]').map((input) => {
    const label = input.closest("label");
    const words = label?.querySelector("span");
    return words ? words.textContent : "a field";
  });
  return refused.length ? ` Not in it, because it was refused: ${[...new Set(refused)].join(", ")}.` : "";
}
