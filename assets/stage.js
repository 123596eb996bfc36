/* stage: what the wall and the view from above share: a painted canvas under an SVG that can be taken in the hand.
 *
 *   create(element, opts, look) -> view
 *   opts = {onCommand(cmd), onPreview(cmd), onPreviewEnd(), onSelect(ids), onHover(id|null), onUndo(), onRedo(), onCaution(index)}
 *   look = {kind, axes, title, extent(plan, [wide, high] in px), surfaces(plan, context?), scene(context)} (see wall.js, above.js and side.js)
 *   view.update({plan, study, fields, setup, levels, exposure, selection, units, paint})  any subset; the rest stays
 *       setup: id; levels: {id: 0..1} to draw instead of the setup's own; exposure [cd/m2]; units "cm" | "ft-in";
 *       pending: commands sent and not yet answered, drawn as if done (with opts.holdsPending; else the view keeps its own)
 *       paint: "glow" (as it would look) | "lux" (map with contours) | "none" (a line drawing)
 *       patch: where a light works (see patch.js), or null; opts.onPlaced(plan) hears of the plan as drawn with it
 *   view.preview(fields)   maps of a moved source, while it moves     view.revert()  the last command was refused
 *   view.zoom(by), view.whole(), view.focus(id), view.destroy(), view.element
 */
import * as Drop from "./drop.js";
import * as History from "./history.js";
import * as Keys from "./keys.js";
import * as Moves from "./moves.js";
import * as Paint from "./paint.js";
import * as Patch from "./patch.js";
import * as Plan from "./plan.js";
import * as Pointer from "./pointer.js";
import * as Readout from "./readout.js";
import * as Relight from "./relight.js";
import * as Sights from "./sights.js";
import * as Snap from "./snap.js";
import { make, size } from "./svg.js";
import * as Units from "./units.js";

const SNAP_PX = 8;
const NUDGE_WAIT_MS = 450;
export const DEFAULT_EXPOSURE = 25;

/** What a view draws of each section, in the makers' order; of the supply what is `shown`, each at its place. */
export function things(now, places, makers, shown = (node) => places[node.id]) {
  return Object.entries(makers).flatMap(([section, make]) => {
    const items = Plan.list(now.plan, section);
    if (section !== "supply") return items.map((item) => make(now, item));
    return items.filter(shown).map((node) => make(now, node, places[node.id]));
  });
}

export function create(element, opts = {}, look) {
  const doc = document;
  element.classList.add("lm-view", `lm-view-${look.kind}`);
  const canvas = doc.createElement("canvas");
  canvas.className = "lm-canvas";
  canvas.setAttribute("aria-hidden", "true");
  /** @type {Record<string, Element>} */
  const layers = {};
  const svg = make("svg", { class: "lm-drawing", role: "group", "aria-label": look.title });
  for (const name of ["back", "things", "front", "marks", "readout"]) {
    layers[name] = make("g", { class: `lm-layer-${name}` });
    svg.append(layers[name]);
  }
  const tools = zoomTools();
  const said = doc.createElement("div");
  said.className = "lm-visually-hidden";
  said.setAttribute("aria-live", "polite");
  element.replaceChildren(canvas, svg, tools, said);

  /** @type {any} */
  const state = {
    plan: null, study: null, ready: null, setup: null, levels: null, exposure: DEFAULT_EXPOSURE,
    selection: [], units: "cm", paint: "glow", patch: null,
  };
  let pending = []; // commands sent and not yet answered
  /** @type {any} */
  let draft = null; // {command, guides} while a hand moves something
  /** @type {any} */
  let nudge = null;
  /** @type {{zoom: number, u: number | null, v: number | null}} */
  let camera = { zoom: 1, u: null, v: null };
  let frame = 0;
  /** @type {number[] | null} */
  let lasting = null; // [width, height] as the size watch said it last
  let stale = { draw: true, paint: true };
  const groups = new Map();
  const flip = look.flip ?? 1; // -1 where u grows to the left

  // ---- what is on show -------------------------------------------------------------------------------------------
  const shown = () => {
    let plan = pending.reduce(Plan.apply, state.plan);
    if (draft?.command) plan = Plan.apply(plan, draft.command);
    return plan;
  };

  function levels() {
    return state.levels || Relight.levelsOf(state.plan, state.setup);
  }

  function ask(what) {
    stale = { draw: true, paint: stale.paint || what === "paint" };
    if (!frame) frame = requestAnimationFrame(render);
  }

  function projection(plan) {
    const [width, height] = lasting || size(element);
    const pad = Math.min(28, 0.04 * width);
    const box = look.extent(plan, [width - 2 * pad, height - 2 * pad]);
    const fit = Math.min((width - 2 * pad) / (box.u1 - box.u0), (height - 2 * pad) / (box.v1 - box.v0));
    const scale = fit * camera.zoom;
    // A wall stands low in its frame: the spare night lies above the ceiling, where the buttons and the hint are.
    const spare = look.kind === "wall" ? Math.max(0, height - 2 * pad - fit * (box.v1 - box.v0)) : 0;
    const cu = camera.u ?? (box.u0 + box.u1) / 2, cv = camera.v ?? (box.v0 + box.v1) / 2 + (0.42 * spare) / scale;
    const px = (u, v) => [width / 2 + flip * (u - cu) * scale, height / 2 - (v - cv) * scale];
    const [au, av] = look.axes;
    return {
      width, height, scale, box, cu, cv, px, at: (point) => px(point[au], point[av]),
      back: (x, y) => [cu + (flip * (x - width / 2)) / scale, cv - (y - height / 2) / scale],
    };
  }

  function context() {
    const plan = shown();
    const view = projection(plan);
    const w = state.ready ? Relight.weights(state.ready, levels(), state.setup) : null;
    return {
      ...view, plan, study: state.study, ready: state.ready, weights: w, levels: levels(), units: state.units,
      selection: state.selection, exposure: state.exposure, paint: state.ready && !look.noLight ? state.paint : "none", axes: look.axes, flip,
      zoomed: camera.zoom > 1.001,
      patch: state.patch,
    };
  }

  function render() {
    frame = 0;
    // A hidden drawing is not drawn; the size watch asks again when it is shown.
    if (!state.plan || !element.isConnected || element.closest("[hidden]")) return;
    const now = context();
    if (stale.paint) Paint.surfaces(canvas, look.surfaces(now.plan), now);
    drawScene(now);
    stale = { draw: false, paint: false };
  }

  function drawScene(now) {
    svg.setAttribute("viewBox", `0 0 ${now.width} ${now.height}`);
    svg.classList.toggle("is-paper", now.paint === "none");
    svg.classList.toggle("is-map", now.paint === "lux");
    const scene = look.scene(now);
    layers.back.replaceChildren(...scene.back, ...Patch.cells(now), ...(now.paint === "lux" ? Paint.contourNodes(look.surfaces(now.plan, now), now) : []));
    layers.front.replaceChildren(...scene.front, ...Sights.nodes(now));
    placeThings(scene.things, now);
    layers.marks.replaceChildren(...cautionMarks(scene.things, now));
    layers.readout.replaceChildren(...Readout.nodes(now, look, draft), ...Patch.marks(now));
    if (state.patch && opts.onPlaced) opts.onPlaced(now.plan);
  }

  function placeThings(things, now) {
    const wanted = new Set(things.map((thing) => thing.id));
    for (const [id, group] of groups) {
      if (!wanted.has(id)) {
        group.remove();
        groups.delete(id);
      }
    }
    let before = null;
    for (const thing of things) {
      let group = groups.get(thing.id);
      if (!group) {
        group = make("g", { "data-id": thing.id, role: "button", tabindex: "0" });
        groups.set(thing.id, group);
      }
      const selected = state.selection.includes(thing.id);
      group.setAttribute("class", `lm-thing is-${thing.kind.replace(/ /g, "-")}${selected ? " is-selected" : ""}`);
      group.setAttribute("aria-label", Readout.label(now.plan, thing.id, look.axes, state.units) + warned(thing.id));
      group.setAttribute("aria-pressed", String(selected));
      group.replaceChildren(...thing.nodes);
      // Moving a focused node would take its focus away, so only when the order is wrong.
      const next = before ? before.nextSibling : layers.things.firstChild;
      if (next !== group) layers.things.insertBefore(group, next);
      before = group;
    }
  }

  /** What a caution mark says, for those who do not see it. */
  function warned(id) {
    const levels = (state.study?.cautions || []).filter((each) => (each.objects || []).includes(id)).map((each) => each.level);
    const words = { stop: "stop", ask: "to ask", note: "note" };
    return Object.keys(words)
      .map((level) => [levels.filter((each) => each === level).length, words[level]])
      .filter(([count]) => count)
      .map(([count, word]) => `, ${count} ${word}`)
      .join("");
  }

  function cautionMarks(things, now) {
    const where = Object.fromEntries(things.map((thing) => [thing.id, thing.mark]));
    const found = (now.study?.cautions || []).flatMap((caution, index) => {
      const id = (caution.objects || []).find((each) => where[each]);
      return id ? [{ caution, index, at: where[id] }] : [];
    });
    return Readout.gathered(found).map(Readout.cautionMark);
  }

  // ---- hands -----------------------------------------------------------------------------------------------------
  function thingOf(target) {
    const group = target?.closest ? target.closest("[data-id]") : null;
    return group && svg.contains(group) ? group.getAttribute("data-id") : null;
  }

  function partOf(target) {
    const part = target?.closest ? target.closest("[data-corner],[data-page],[data-lean]") : null;
    if (!part) return null;
    if (part.hasAttribute("data-lean")) return { lean: part.getAttribute("data-lean") };
    return part.hasAttribute("data-page") ? { page: true } : { corner: Number(part.getAttribute("data-corner")) };
  }

  function select(ids) {
    state.selection = ids;
    ask("draw");
    if (opts.onSelect) opts.onSelect(ids);
  }

  function shift(grip, at, guides) {
    const command = Moves.command(grip, at);
    draft = { command, guides, grip };
    ask("draw");
    if (command && opts.onPreview) opts.onPreview(command);
  }

  function commit() {
    const command = draft?.command;
    draft = null;
    if (opts.onPreviewEnd) opts.onPreviewEnd(Boolean(command));
    if (command) send(command);
    ask("draw");
  }

  function send(command) {
    if (!opts.holdsPending && (command.name === "move" || command.name === "set")) pending.push(command);
    if (opts.onCommand) opts.onCommand(command);
  }

  function abandon() {
    if (!draft) return;
    draft = null;
    if (state.kept) state.ready = state.kept;
    state.kept = null;
    if (opts.onPreviewEnd) opts.onPreviewEnd(false);
    ask("paint");
  }

  const hands = Pointer.track(svg, {
    press(event) {
      const caution = event.target.closest?.("[data-caution]");
      if (caution) return { caution: Number(caution.getAttribute("data-caution")) };
      const id = thingOf(event.target);
      return id ? { id, part: partOf(event.target) } : { pan: true };
    },
    start(token, event) {
      settleNudge();
      if (token.pan) {
        token.from = projection(shown());
        svg.classList.add("is-panning");
        return;
      }
      if (!token.id) return;
      const together = state.selection.length > 1 && state.selection.includes(token.id) && !token.part;
      const ids = together ? [token.id, ...state.selection.filter((id) => id !== token.id)] : [token.id];
      if (!together && !state.selection.includes(token.id)) select([token.id]);
      const plan = shown();
      token.grip = Moves.begin(plan, ids, look.axes, token.part);
      if (!token.grip) return;
      token.lines = Snap
        .candidates(plan, token.id, look.axes)
        .filter((line) => !token.grip.ids.includes(token.id) || ids.length === 1 || line.kind === "centre");
      token.scale = projection(plan).scale;
      token.origin = [look.axes[0] === 1 ? Plan.wallY(plan) : Plan.bedCentre(plan), look.axes[1] === 2 ? 0 : Plan.extent(plan).y1];
      svg.classList.add("is-dragging");
      if (event.target.focus) groups.get(token.id).focus({ preventScroll: true });
    },
    move(token, { dx, dy }, event) {
      if (token.pan) return panTo(token.from, dx, dy);
      if (!token.grip) return;
      const [u, v] = token.grip.at;
      /** @type {[number, number]} */
      let want = [u + (flip * dx) / token.scale, v - dy / token.scale];
      if (token.grip.lock || event.shiftKey) want = Math.abs(dx) >= Math.abs(dy) ? [want[0], v] : [u, want[1]];
      const { at, guides } = Snap.settle(want, token.grip.part ? [] : token.lines, {
        reach_m: SNAP_PX / token.scale, grid_m: Units.grid(state.units), origin: token.origin, free: event.altKey,
        axes: token.grip.free,
      });
      if (token.grip.lock) {
        // the grid must not nudge the way that is locked
        if (want[0] === u) at[0] = u;
        if (want[1] === v) at[1] = v;
      }
      shift(token.grip, at, guides);
    },
    end(token) {
      svg.classList.remove("is-dragging", "is-panning");
      if (token.grip) commit();
    },
    cancel() {
      svg.classList.remove("is-dragging", "is-panning");
      abandon();
    },
    tap(token, event) {
      if (token.caution !== undefined && token.caution !== null) return opts.onCaution?.(token.caution);
      if (token.pan) return state.selection.length ? select([]) : undefined;
      if (event.shiftKey) {
        const has = state.selection.includes(token.id);
        return select(has ? state.selection.filter((id) => id !== token.id) : [...state.selection, token.id]);
      }
      groups.get(token.id)?.focus({ preventScroll: true });
      return select([token.id]);
    },
    pinchStart() {
      const box = svg.getBoundingClientRect();
      state.pinch = { ...projection(shown()), zoom: camera.zoom, left: box.left, top: box.top };
    },
    pinch({ scale, x, y, dx, dy }) {
      const from = state.pinch;
      zoomAbout(from, from.zoom * scale, x - from.left, y - from.top, dx, dy);
    },
    wheel(event) {
      if (!state.plan) return;
      event.preventDefault();
      const box = svg.getBoundingClientRect();
      const by = Math.exp(-event.deltaY * (event.ctrlKey ? 0.01 : 0.0015));
      zoomAbout(projection(shown()), camera.zoom * by, event.clientX - box.left, event.clientY - box.top);
    },
  });

  function panTo(from, dx, dy) {
    if (camera.zoom <= 1.001) return;
    camera = { ...camera, u: from.cu - (flip * dx) / from.scale, v: from.cv + dy / from.scale };
    ask("paint");
  }

  function zoomAbout(from, zoom, x, y, dx = 0, dy = 0) {
    const now = Math.min(12, Math.max(1, zoom));
    if (now <= 1.001) return whole();
    const [u, v] = from.back(x, y);
    const scale = (from.scale / (from.zoom || camera.zoom)) * now;
    camera = { zoom: now, u: u - (flip * (x + dx - from.width / 2)) / scale, v: v + (y + dy - from.height / 2) / scale };
    return ask("paint");
  }

  function zoom(by) {
    if (!state.plan) return;
    const now = projection(shown());
    zoomAbout(now, camera.zoom * by, now.width / 2, now.height / 2);
  }

  function whole() {
    camera = { zoom: 1, u: null, v: null };
    ask("paint");
  }

  function zoomTools() {
    const bar = doc.createElement("div");
    bar.className = "lm-view-tools";
    const button = (text, label, action) => {
      const made = doc.createElement("button");
      made.type = "button";
      made.className = "lm-round";
      made.textContent = text;
      made.setAttribute("aria-label", label);
      made.addEventListener("click", action);
      return made;
    };
    bar.append(button("+", "Closer", () => zoom(1.4)), button("−", "Further", () => zoom(1 / 1.4)), button("□", "Whole picture", whole));
    return bar;
  }

  // ---- keys ------------------------------------------------------------------------------------------------------
  function settleNudge() {
    if (!nudge) return;
    clearTimeout(nudge.timer);
    nudge = null;
    commit();
  }

  function onKey(event) {
    if (!state.plan || event.defaultPrevented) return;
    const what = Keys.meaning(event, { system: state.units });
    if (!what) return;
    const focused = thingOf(event.target);
    const chosen = state.selection.length && (!focused || state.selection.includes(focused)) ? state.selection : focused ? [focused] : [];
    const done = act(what, focused, chosen);
    if (done !== false) {
      event.preventDefault();
      event.stopPropagation();
    }
  }

  function act(what, focused, chosen) {
    if (what.do !== "nudge") settleNudge();
    switch (what.do) {
      case "nudge":
        return nudgeBy(chosen, what.du, what.dv);
      case "cancel":
        if (hands.active() || draft) {
          hands.cancel();
          return abandon();
        }
        return state.selection.length ? select([]) : false;
      case "pick": {
        if (!focused) return false;
        const has = state.selection.includes(focused);
        if (what.add) return select(has ? state.selection.filter((id) => id !== focused) : [...state.selection, focused]);
        return select(has && state.selection.length === 1 ? [] : [focused]);
      }
      case "all":
        return select([...groups.keys()]);
      case "remove":
        return chosen.length ? sendFor({ name: "remove" }, chosen) : false;
      case "mirror":
        return chosen.length ? sendFor({ name: "mirror" }, chosen) : false;
      case "duplicate":
        return chosen.length === 1 ? send({ name: "duplicate", id: chosen[0], args: {} }) : false;
      case "undo":
        return opts.onUndo ? opts.onUndo() : false;
      case "redo":
        return opts.onRedo ? opts.onRedo() : false;
      case "zoom":
        return zoom(what.by);
      case "whole":
        return whole();
      default:
        return false;
    }
  }

  function sendFor(command, ids) {
    if (command.name === "remove") select([]);
    send({ ...command, ...(ids.length === 1 ? { id: ids[0] } : { ids }), args: {} });
  }

  function nudgeBy(ids, du, dv) {
    if (!ids.length) return false;
    if (!nudge) {
      const grip = Moves.begin(shown(), ids, look.axes);
      if (!grip) return false;
      if (!ids.every((id) => state.selection.includes(id))) select(ids);
      nudge = { grip, at: [...grip.at] };
    }
    nudge.at = [nudge.at[0] + flip * du, nudge.at[1] + dv];
    shift(nudge.grip, nudge.at, []);
    clearTimeout(nudge.timer);
    nudge.timer = setTimeout(() => {
      settleNudge();
      said.textContent = Readout.label(shown(), ids[0], look.axes, state.units);
    }, NUDGE_WAIT_MS);
    return true;
  }

  // A finger on a thing drags it; a finger on the bare wall scrolls the page.
  svg.addEventListener("touchstart", (event) => thingOf(event.target) && event.cancelable && event.preventDefault(), { passive: false });
  svg.addEventListener("keydown", onKey);
  svg.addEventListener("pointerover", (event) => opts.onHover?.(thingOf(event.target)));

  // ---- things dropped from the drawer ----------------------------------------------------------------------------
  function onDrop(event) {
    const text = event.dataTransfer?.getData(Drop.KIND);
    if (!text || look.noLight) return;
    event.preventDefault();
    const box = svg.getBoundingClientRect();
    const [u, v] = projection(shown()).back(event.clientX - box.left, event.clientY - box.top);
    send(Drop.command(shown(), JSON.parse(text), look.axes, [u, v], { system: state.units, setup: state.setup }));
  }
  element.addEventListener("dragover", (event) => {
    if (!look.noLight && event.dataTransfer && [...event.dataTransfer.types].includes(Drop.KIND)) event.preventDefault();
  });
  element.addEventListener("drop", onDrop);

  // The watch says the size, so that drawing need not ask for it, which would lay the page out each time.
  function resized(entries) {
    const { width, height } = entries[entries.length - 1].contentRect;
    lasting = width && height ? [width, height] : null;
    ask("paint");
  }
  const watch = typeof ResizeObserver === "function" ? new ResizeObserver(resized) : null;
  if (watch) watch.observe(element);

  return {
    element,
    update(next) {
      if (next.plan && (!state.plan || !History.same(next.plan, state.plan))) {
        if (!opts.holdsPending) pending.shift();
        state.plan = next.plan;
      }
      if (next.pending) pending = next.pending;
      if (next.fields !== undefined && next.fields !== state.written) {
        state.written = next.fields;
        state.ready = next.fields?.tint && Array.isArray(next.fields.tint) ? next.fields : Relight.prepare(next.fields);
        state.kept = null;
      }
      for (const name of ["study", "setup", "levels", "exposure", "units", "paint", "patch"]) {
        if (next[name] !== undefined) state[name] = next[name];
      }
      if (Array.isArray(next.selection)) state.selection = next.selection;
      if (state.plan) ask("paint");
    },
    preview(fields) {
      if (!fields || !draft) return;
      if (!state.kept) state.kept = state.ready;
      state.ready = Relight.merge(state.ready, fields);
      ask("paint");
    },
    revert() {
      pending = [];
      if (state.kept) state.ready = state.kept;
      state.kept = null;
      ask("paint");
    },
    focus: (id) => groups.get(id)?.focus(),
    zoom,
    whole,
    destroy() {
      settleNudge();
      hands.stop();
      if (watch) watch.disconnect();
      if (frame) cancelAnimationFrame(frame);
      element.removeEventListener("drop", onDrop);
      element.replaceChildren();
      element.classList.remove("lm-view", `lm-view-${look.kind}`);
    },
  };
}
