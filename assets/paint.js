/* paint: maps of light put on a canvas, and their contours as SVG.
 *
 *   surfaces(canvas, [{grid, clip: [[u,v],...], behind}], context)   paints by context.paint: "glow" | "lux"; "none" clears;
 *                                                               context.finer = times that cells are split for drawing (4)
 *   picture(grid, context, mode)                             -> an offscreen canvas of one map, v upward
 *   contourNodes([{grid, clip, behind}], context)            -> SVG nodes: lines and their labels in lx; behind = boxes in px that
 *                                                               hide the surface, where no label is put
 *   ambient(context, reflectance)                            -> css colour of a matt thing lit by the room's bounced light
 *   glowOf(context, id)                                      -> {level, css}: how a light's shade is drawn now
 */
import * as Colours from "./colours.js";
import * as Contours from "./contours.js";
import * as Relight from "./relight.js";
import { curve, make } from "./svg.js";

const FINER = { glow: 4, lux: 4 };
const NIGHT = [17, 14, 12];
const MOST_AMBIENT = 128;

export function fitCanvas(canvas, width, height) {
  const ratio = Math.min(2, devicePixelRatio || 1);
  const w = Math.round(width * ratio), h = Math.round(height * ratio);
  if (canvas.width !== w || canvas.height !== h) {
    canvas.width = w;
    canvas.height = h;
  }
  const ctx = canvas.getContext("2d");
  ctx.setTransform(ratio, 0, 0, ratio, 0, 0);
  ctx.clearRect(0, 0, width, height);
  ctx.imageSmoothingEnabled = true;
  ctx.imageSmoothingQuality = "high";
  return ctx;
}

function finerLux(values, nu, nv, times) {
  const rgb = new Float32Array(3 * values.length);
  for (let i = 0; i < values.length; i += 1) rgb[3 * i] = values[i];
  const fine = Relight.finer(rgb, nu, nv, times);
  return Float32Array.from({ length: fine.length / 3 }, (_, i) => fine[3 * i]);
}

export function picture(grid, now, mode) {
  const times = now.finer || (grid.nu * grid.nv > 12000 ? 2 : FINER[mode]);
  const nu = grid.nu * times, nv = grid.nv * times;
  const made = document.createElement("canvas");
  made.width = nu;
  made.height = nv;
  const ctx = /** @type {CanvasRenderingContext2D} */ (made.getContext("2d"));
  const image = ctx.createImageData(nu, nv);
  if (mode === "lux") {
    const lx = Relight.illuminance(grid, now.weights);
    Colours.lux(finerLux(lx, grid.nu, grid.nv, times), nu, nv, image.data);
  } else {
    const rgb = Relight.luminance(grid, now.weights, Relight.tints(now.ready, now.weights));
    Relight.pixels(Relight.finer(rgb, grid.nu, grid.nv, times), nu, nv, now.exposure, image.data);
  }
  ctx.putImageData(image, 0, 0);
  return made;
}

function clipTo(ctx, points, px) {
  ctx.beginPath();
  points.forEach(([u, v], i) => {
    const [x, y] = px(u, v);
    if (i) ctx.lineTo(x, y);
    else ctx.moveTo(x, y);
  });
  ctx.closePath();
  ctx.clip();
}

/** Where cell coordinates (i, j) of a grid fall on the drawing, also when the grid is turned in the room. */
function placer(grid, now) {
  if (grid.corner && now.axes) {
    const [a, b] = now.axes;
    return (i, j) =>
      now.px(
        grid.corner[a] + i * grid.du * grid.u[a] + j * grid.dv * grid.v[a],
        grid.corner[b] + i * grid.du * grid.u[b] + j * grid.dv * grid.v[b]
      );
  }
  return (i, j) => now.px(grid.u0 + i * grid.du, grid.v0 + j * grid.dv);
}

export function surfaces(canvas, list, now) {
  const ctx = fitCanvas(canvas, now.width, now.height);
  if (now.paint === "none" || !now.ready) return;
  for (const { grid: name, clip } of list) {
    ctx.save();
    clipTo(ctx, clip, now.px);
    ctx.fillStyle = `rgb(${NIGHT})`;
    ctx.fillRect(0, 0, now.width, now.height);
    const grid = now.ready.grids[name];
    if (grid) {
      const image = picture(grid, now, now.paint);
      const at = placer(grid, now);
      const [x, y] = at(0, grid.nv), [ux, uy] = at(grid.nu, grid.nv), [vx, vy] = at(0, 0); // image: top left, right, down
      if (now.paint === "glow") ctx.globalCompositeOperation = "lighten"; // never blacker than the unlit room
      ctx.transform((ux - x) / image.width, (uy - y) / image.width, (vx - x) / image.height, (vy - y) / image.height, x, y);
      ctx.drawImage(image, 0, 0);
    }
    ctx.restore();
  }
}

export function contourNodes(list, now) {
  if (!now.ready) return [];
  const nodes = [];
  const taken = [];
  for (const { grid: name, behind } of list) {
    const grid = now.ready.grids[name];
    if (!grid) continue;
    const lx = Relight.illuminance(grid, now.weights);
    const at = placer(grid, now);
    const toPx = ([i, j]) => at(i + 0.5, j + 0.5);
    for (const level of Colours.TICKS) {
      for (const line of Contours.lines(lx, grid.nu, grid.nv, level)) {
        const points = line.points.map(toPx);
        nodes.push(make("path", { class: "lm-contour", d: curve(points, line.closed) }));
        const label = labelNode(points, level, taken, behind || []);
        if (label) nodes.push(label);
      }
    }
  }
  return [...nodes.filter((node) => node.tagName === "path"), ...nodes.filter((node) => node.tagName !== "path")];
}

const inside = ([x, y], [x0, y0, x1, y1]) => x > x0 && x < x1 && y > y0 && y < y1;

/** The longest stretch of a line that no box hides. */
function seen(points, boxes) {
  let best = [], run = [];
  for (const point of points) {
    if (boxes.some((box) => inside(point, box))) run = [];
    else {
      run.push(point);
      if (run.length > best.length) best = run;
    }
  }
  return best;
}

function labelNode(line, level, taken, boxes) {
  const points = seen(line, boxes);
  let length = 0;
  for (let i = 1; i < points.length; i += 1) length += Math.hypot(points[i][0] - points[i - 1][0], points[i][1] - points[i - 1][1]);
  const spot = length > 90 ? Contours.label(points) : null;
  if (!spot) return null;
  const [x, y] = spot.at;
  if (taken.some(([tx, ty]) => Math.hypot(tx - x, ty - y) < 46)) return null;
  taken.push([x, y]);
  let angle = (spot.angle * 180) / Math.PI;
  if (angle > 90) angle -= 180;
  if (angle < -90) angle += 180;
  return make(
    "text",
    { class: "lm-contour-label", x, y, transform: `rotate(${angle.toFixed(1)} ${x.toFixed(1)} ${y.toFixed(1)})`, dy: "0.35em" },
    `${level} lx`
  );
}

/** Mean bounced light over the bed (or the floor) as a colour that a matt thing would take; a drawing aid, not an answer. */
export function ambient(now, reflectance) {
  const grid = now.paint === "glow" && now.ready && (now.ready.grids.mattress || now.ready.grids.floor);
  if (!grid) return null;
  if (!now.ambientLight) {
    const sum = [0, 0, 0];
    const tints = Relight.tints(now.ready, now.weights);
    for (let s = 0; s < now.weights.length; s += 1) {
      const map = grid.bounced[s];
      if (!now.weights[s] || !map) continue;
      let mean = 0;
      for (let i = 0; i < map.length; i += 1) mean += map[i] / map.length;
      for (let k = 0; k < 3; k += 1) sum[k] += (now.weights[s] * mean * tints[s][k]) / Math.PI;
    }
    now.ambientLight = sum;
  }
  const lit = now.ambientLight.map((value) => Relight.tone(value * reflectance, now.exposure));
  const down = Math.min(1, MOST_AMBIENT / Math.max(...lit, 1)); // keeps the colour, and the things behind the painted wall
  return `rgb(${lit.map((value, k) => Math.round(Math.max([30, 26, 23][k], down * value)))})`;
}

export function glowOf(now, id) {
  const level = Relight.given(now.ready?.dimming?.[id], now.levels?.[id] || 0);
  const at = now.ready ? now.ready.sources.indexOf(id) : -1;
  const tint = at >= 0 ? now.ready.tint[at] : [1.35, 0.95, 0.42];
  // A lit shade or strip is brighter than any wall: the tint thinned with white, dimmed only a little by its level.
  const shine = 0.55 + 0.45 * Math.sqrt(level);
  const most = Math.max(...tint);
  const rgb = tint.map((value) => Math.round(255 * ((value / most) * 0.35 + 0.65) ** (1 / 2.2) * shine));
  return { level, css: level > 0 ? `rgb(${rgb})` : null };
}
