/* thumb: the wall as a small lit picture, one for each setup.
 *
 *   paint(element, {plan, ready, setup, levels, exposure})   draws into a canvas kept inside element
 */
import * as Paint from "./paint.js";
import * as Plan from "./plan.js";
import * as Relight from "./relight.js";
import * as Stage from "./stage.js";
import { hull, size } from "./svg.js";
import * as Wall from "./wall.js";

// Asked once and then told of changes: to ask each time would lay the page out at every step of a slider.
const sizes = new WeakMap();
const watch = typeof ResizeObserver === "undefined" ? null : new ResizeObserver((entries) => {
  for (const { target } of entries) sizes.delete(target);
});

function sizeOf(element) {
  if (!sizes.has(element)) {
    sizes.set(element, size(element));
    if (watch) watch.observe(element);
  }
  return sizes.get(element);
}

export function paint(element, { plan, ready, setup, levels, exposure = Stage.DEFAULT_EXPOSURE }) {
  let canvas = element.querySelector("canvas");
  if (!canvas) {
    canvas = document.createElement("canvas");
    canvas.className = "lm-canvas";
    canvas.setAttribute("aria-hidden", "true");
    element.replaceChildren(canvas);
  }
  if (!plan || !ready) return;
  const [width, height] = sizeOf(element);
  const box = Wall.look.extent(plan);
  const scale = Math.max(width / (box.u1 - box.u0), height / (box.v1 - box.v0));
  // The picture fills its frame and keeps the floor in sight.
  const left = width / 2 - ((box.u0 + box.u1) / 2) * scale;
  const px = (u, v) => [left + u * scale, height - 3 - v * scale];
  const lit = levels || Relight.levelsOf(plan, setup);
  const weights = Relight.weights(ready, lit, setup);
  const now = { width, height, px, scale, plan, ready, weights, levels: lit, exposure, paint: "glow", finer: 2, selection: [], axes: [0, 2] };
  Paint.surfaces(canvas, Wall.look.surfaces(plan), now);
  const ctx = canvas.getContext("2d");
  const at = (point) => px(point[0], point[2]);
  const boxes = [...Plan.list(plan, "furniture")].sort((p, q) => q.at_m[1] - p.at_m[1]);
  for (const item of boxes) {
    const corners = hull(Plan.boxCorners(item).map(at));
    ctx.beginPath();
    corners.forEach(([x, y], i) => (i ? ctx.lineTo(x, y) : ctx.moveTo(x, y)));
    ctx.closePath();
    ctx.fillStyle = Paint.ambient(now, Plan.lrvOf(item) / 100) || "rgb(30,26,23)";
    ctx.fill();
    ctx.strokeStyle = "rgba(246,233,214,0.28)";
    ctx.lineWidth = 0.75;
    ctx.stroke();
  }
  for (const light of Plan.list(plan, "lights")) {
    const glow = Paint.glowOf(now, light.id);
    const [x, y] = at(Plan.lightCentre(plan, light));
    ctx.beginPath();
    ctx.arc(x, y, Math.max(2.5, 0.07 * scale), 0, 7);
    ctx.fillStyle = glow.css || "rgba(246,233,214,0.25)";
    ctx.fill();
  }
}
