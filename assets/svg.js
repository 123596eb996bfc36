/* svg: small makers for SVG.
 *
 *   make(tag, attributes, ...children) -> element     path([[x,y], ...], closed) -> "M...": path data
 *   curve(points, closed) -> rounded path data
 *   hull([[x,y], ...]) -> corners of the convex outline  size(element) -> [width, height] in CSS pixels
 */

const SPACE = "http://www.w3.org/2000/svg";

export function make(tag, attributes = {}, ...children) {
  const element = document.createElementNS(SPACE, tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value !== undefined && value !== null && value !== false) element.setAttribute(name, value === true ? "" : value);
  }
  for (const child of children.flat()) {
    if (child !== null && child !== undefined) element.append(child);
  }
  return element;
}

const figure = (value) => Math.round(value * 100) / 100;

export function path(points, closed = false) {
  const steps = points.map(([x, y], i) => `${i ? "L" : "M"}${figure(x)} ${figure(y)}`);
  return steps.join("") + (closed ? "Z" : "");
}

/** Rounded path through the middles of the steps: for lines that are smooth in truth, such as contours. */
export function curve(points, closed = false) {
  if (points.length < 4) return path(points, closed);
  const mid = (p, q) => [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2];
  const text = (/** @type {number[]} */ [x, y]) => `${figure(x)} ${figure(y)}`;
  const ring = closed ? [...points.slice(0, -1), points[0], points[1]] : points;
  const start = closed ? mid(ring[0], ring[1]) : points[0];
  const parts = [`M${text(start)}`];
  for (let i = 1; i < ring.length - 1; i += 1) parts.push(`Q${text(ring[i])} ${text(mid(ring[i], ring[i + 1]))}`);
  return parts.join("") + (closed ? "Z" : `L${text(points[points.length - 1])}`);
}

export function hull(points) {
  const sorted = [...points].sort((p, q) => p[0] - q[0] || p[1] - q[1]);
  const turn = (o, p, q) => (p[0] - o[0]) * (q[1] - o[1]) - (p[1] - o[1]) * (q[0] - o[0]);
  const chain = (list) => {
    const out = [];
    for (const point of list) {
      while (out.length > 1 && turn(out[out.length - 2], out[out.length - 1], point) <= 1e-9) out.pop();
      out.push(point);
    }
    return out.slice(0, -1);
  };
  return [...chain(sorted), ...chain(sorted.reverse())];
}

export function size(element) {
  const box = element.getBoundingClientRect();
  return [Math.max(1, box.width), Math.max(1, box.height)];
}
