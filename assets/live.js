/* live: numbers in the page that follow a hand, in the server's own words.
 *
 * Elements say what they show by attributes:
 *   data-live="page:left"            target; "eye:right" is the worst lying posture, as the study has it
 *   data-live-measure                illuminance (default) | melanopic | minimum | maximum | uniformity
 *   data-live-part                   all (default, "about 290 lx (230-350)") | value ("290") | band ("230-350")
 *   data-live-setup                  a setup's id; without it the setup on show
 *   data-live-aim="left page"        state word of that wish, the server's; the element gets is-met | is-while | is-short | is-much and data-state
 *   data-live-aim-words="left page"  what stands beside that state: how sure, what is left after years, how even
 *
 *   find(answers, target, setup) -> an entry of planes or eyes, or null
 *   text(entry, measure, part)   -> the words, or null
 *   write(root, {planes, eyes, aims, setup, quick}) -> number of elements written
 *       quick: no band is known yet (a level slider on its way), so only values are written and bands are dimmed
 *   dim(root, on)                marks the shown answers as older than the drawing (class is-stale)
 */
import * as Words from "./words.js";

const LYING = ["lying back", "lying left", "lying right"];
const CLASSES = { met: "is-met", "met while new": "is-while", short: "is-short", "too much": "is-much" };

function lux(entry) {
  return entry.illuminance_lx ?? entry.average_lx;
}

const sorted = new WeakMap(); // answers -> "setup/target" -> entry: asked for every number on the page

export function find(answers, target, setup) {
  if (!sorted.has(answers)) {
    const all = [...(answers.eyes || []), ...(answers.planes || [])];
    sorted.set(answers, new Map(all.map((entry) => [`${entry.setup}/${entry.target}`, entry])));
  }
  const entries = sorted.get(answers);
  const exact = entries.get(`${setup}/${target}`);
  if (exact) return exact;
  const lying = LYING.map((posture) => entries.get(`${setup}/${target}:${posture}`)).filter(Boolean);
  return lying.reduce((worst, entry) => (!worst || lux(entry) > lux(worst) ? entry : worst), null);
}

export function figures(entry, measure) {
  const average = lux(entry);
  if (measure === "melanopic") return [entry.melanopic_edi_lx, entry.melanopic_low_lx, entry.melanopic_high_lx];
  if (measure === "uniformity") return [entry.uniformity, entry.uniformity, entry.uniformity];
  if (measure === "minimum" || measure === "maximum") {
    const value = entry[`${measure}_lx`];
    const share = average > 0 ? value / average : 1;
    return [value, entry.low_lx * share, entry.high_lx * share];
  }
  return [average, entry.low_lx, entry.high_lx];
}

export function text(entry, measure = "illuminance", part = "all") {
  const [value, low, high] = figures(entry, measure);
  if (value === null || value === undefined) return null;
  if (measure === "uniformity") return value.toFixed(2);
  const { about, amount } = Words;
  const banded = Number.isFinite(low) && Number.isFinite(high);
  const dark = banded ? high < 0.1 : value < 0.05;
  if (part === "value") return dark ? "under 0.1" : amount(value);
  if (part === "band") return banded && !dark ? `${amount(low)}-${amount(high)}` : dark ? "" : null;
  if (!banded) return dark ? "under 0.1 lx" : `about ${amount(value)} lx`;
  return about(value, low, high);
}

export function write(where, answers) {
  let written = 0;
  for (const element of where.querySelectorAll("[data-live]")) {
    const setup = element.dataset.liveSetup || answers.setup;
    const entry = find(answers, element.dataset.live, setup);
    const words = entry && text(entry, element.dataset.liveMeasure, element.dataset.livePart);
    if (entry && words === null) element.classList.add("is-stale");
    if (words === null || words === undefined) continue;
    if (element.textContent !== words) element.textContent = words;
    element.classList.toggle("is-stale", false);
    written += 1;
  }
  for (const element of where.querySelectorAll("[data-live-aim],[data-live-aim-words]")) {
    const { liveAim, liveAimWords, liveSetup } = element.dataset;
    const setup = liveSetup || answers.setup;
    const aim = (answers.aims || []).find((each) => each.id === (liveAim || liveAimWords) && each.setup === setup);
    element.classList.toggle("is-stale", !aim); // while a slider runs ahead of the server nobody knows yet how a wish fares
    const words = aim && (liveAim ? aim.state : aim.words);
    if (!aim || element.textContent === words) continue;
    element.textContent = words;
    if (liveAim) {
      element.dataset.state = words;
      element.classList.remove(...Object.values(CLASSES), "is-unsure");
      element.classList.add(CLASSES[words]);
    }
    written += 1;
  }
  return written;
}

export function dim(where, on) {
  for (const element of where.querySelectorAll("[data-live],[data-live-aim],[data-live-aim-words]")) element.classList.toggle("is-stale", on);
}
