/* lumen.svg: small makers for SVG.
 *
 *   make(tag, attributes, ...children) -> element     path([[x,y], ...], closed) -> "M...": path data
 *   hull([[x,y], ...]) -> corners of the convex outline  size(element) -> [width, height] in CSS pixels
 */
(function (root) {
  "use strict";
  const lumen = (root.lumen = root.lumen || {});
  const SPACE = "http://www.w3.org/2000/svg";

  function make(tag, attributes = {}, ...children) {
    const element = root.document.createElementNS(SPACE, tag);
    for (const [name, value] of Object.entries(attributes)) {
      if (value !== undefined && value !== null && value !== false) element.setAttribute(name, value === true ? "" : value);
    }
    for (const child of children.flat()) {
      if (child !== null && child !== undefined) element.append(child);
    }
    return element;
  }

  const figure = (value) => Math.round(value * 100) / 100;

  function path(points, closed = false) {
    const steps = points.map(([x, y], i) => `${i ? "L" : "M"}${figure(x)} ${figure(y)}`);
    return steps.join("") + (closed ? "Z" : "");
  }

  function hull(points) {
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

  function size(element) {
    const box = element.getBoundingClientRect();
    return [Math.max(1, box.width), Math.max(1, box.height)];
  }

  lumen.svg = { make, path, hull, size };
})(typeof window === "undefined" ? globalThis : window);
