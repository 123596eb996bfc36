/* lux: a map of illuminance on any plane, with contours in lx and the one fixed scale.
 *
 *   mount(element, {title}) -> view; view.update({fields, plan, setup, levels, grid, title}), view.destroy()
 *       grid: "mattress" | "floor" | "wall" | "page:<person>"; fields as sent or as relight.prepare gives them
 *   legend(element)          draws the scale alone: the same for every setup and plane
 *   describe(values, free)   -> "from about 5.3 to about 210 lx" (the words under a map); free: the grid's, or none
 */
import * as Colours from "./colours.js";
import * as Paint from "./paint.js";
import * as Relight from "./relight.js";
import { make, size } from "./svg.js";
import * as Words from "./words.js";

export function describe(values, free) {
  let low = Infinity, high = -Infinity;
  values.forEach((value, i) => {
    if (free && free[i] !== "1") return; // nobody looks at the floor under a bed's own legs
    if (value < low) low = value;
    if (value > high) high = value;
  });
  if (!(high >= 0.1)) return "dark: under 0.1 lx everywhere";
  return `from about ${low < 0.1 ? "0.1 or less" : Words.amount(low)} to about ${Words.amount(high)} lx`;
}

export function mount(element, opts = {}) {
  const doc = document;
  element.classList.add("lm-lux");
  const box = doc.createElement("div");
  box.className = "lm-lux-picture";
  const canvas = doc.createElement("canvas");
  canvas.className = "lm-canvas";
  canvas.setAttribute("aria-hidden", "true");
  const svg = make("svg", { class: "lm-drawing is-map", role: "img" });
  const words = doc.createElement("p");
  words.className = "lm-lux-words";
  box.append(canvas, svg);
  element.replaceChildren(box, words);
  const state = { grid: "mattress", title: opts.title || "" };
  let frame = 0;

  function draw() {
    frame = 0;
    if (element.closest("[hidden]")) return; // the size watch asks again; asking for a width would lay the page out
    const grid = state.ready?.grids[state.grid];
    if (!grid || !element.isConnected) {
      words.textContent = grid ? "" : "no map of this plane";
      return;
    }
    const levels = state.levels || Relight.levelsOf(state.plan || {}, state.setup);
    const weights = Relight.weights(state.ready, levels, state.setup);
    const wide = grid.nu * grid.du, high = grid.nv * grid.dv;
    box.style.aspectRatio = `${wide} / ${high}`;
    const [width, height] = size(box);
    const scale = Math.min(width / wide, height / high);
    const px = (u, v) => [(u - grid.u0) * scale, height - (v - grid.v0) * scale];
    const corners = [[0, 0], [wide, 0], [wide, high], [0, high]].map(([a, b]) => [grid.u0 + a, grid.v0 + b]);
    const now = { width, height, px, weights, ready: state.ready, paint: "lux" };
    const list = [{ grid: state.grid, clip: corners }];
    Paint.surfaces(canvas, list, now);
    svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
    svg.replaceChildren(...Paint.contourNodes(list, now));
    const text = describe(Relight.illuminance(grid, weights), grid.free);
    svg.setAttribute("aria-label", `${state.title || state.grid}: ${text}`);
    words.textContent = state.title ? `${state.title}: ${text}` : text;
  }

  const ask = () => {
    if (!frame) frame = requestAnimationFrame(draw);
  };
  const watch = typeof ResizeObserver === "function" ? new ResizeObserver(ask) : null;
  if (watch) watch.observe(box);

  return {
    element,
    update(next) {
      if (next.fields !== undefined && next.fields !== state.written) {
        state.written = next.fields;
        state.ready = next.fields && Array.isArray(next.fields.tint) ? next.fields : Relight.prepare(next.fields);
      }
      for (const name of ["plan", "setup", "levels", "grid", "title"]) if (next[name] !== undefined) state[name] = next[name];
      ask();
    },
    preview(fields) {
      state.ready = Relight.merge(state.ready, fields);
      ask();
    },
    revert() {
      state.ready = state.written && Array.isArray(state.written.tint) ? state.written : Relight.prepare(state.written);
      ask();
    },
    destroy() {
      if (watch) watch.disconnect();
      if (frame) cancelAnimationFrame(frame);
      element.replaceChildren();
      element.classList.remove("lm-lux");
    },
  };
}

export function legend(element) {
  const doc = document;
  const { RAMP, place, css } = Colours;
  const stops = Array.from({ length: 24 }, (_, i) => css(RAMP[Math.round((i / 23) * (RAMP.length - 1))]));
  const bar = doc.createElement("div");
  bar.className = "lm-legend-bar";
  bar.style.background = `linear-gradient(to right, ${stops.join(", ")})`;
  const marks = doc.createElement("div");
  marks.className = "lm-legend-marks";
  for (const lx of [1, 3, 10, 30, 100, 300, 1000]) {
    const mark = doc.createElement("span");
    mark.style.left = `${100 * place(lx)}%`;
    mark.textContent = String(lx);
    marks.append(mark);
  }
  const unit = doc.createElement("span");
  unit.className = "lm-legend-unit";
  unit.textContent = "lx";
  marks.prepend(unit);
  element.classList.add("lm-legend");
  element.setAttribute("role", "img");
  element.setAttribute("aria-label", "Scale of the map from 0.3 to 1000 lx, the same for every setup");
  element.replaceChildren(bar, marks);
}
