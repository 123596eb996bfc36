/* contours: lines of equal illuminance from a grid (marching squares), pure.
 *
 *   lines(values, nu, nv, level) -> [{points: [[i, j], ...], closed: bool}, ...]
 *       i, j count cells from the first cell's centre; values are read on a logarithmic slope, as light falls off
 *   label(points) -> {at: [i, j], angle} where a label sits best: the straightest stretch near the middle
 */

const FLOOR = 1e-4; // lx; darker than any line drawn

// For each of 16 corner patterns the pairs of edges that a line joins: 0 below, 1 right, 2 above, 3 left.
const PAIRS = [
  [], [[3, 0]], [[0, 1]], [[3, 1]], [[1, 2]], null, [[0, 2]], [[3, 2]],
  [[2, 3]], [[2, 0]], null, [[2, 1]], [[1, 3]], [[1, 0]], [[0, 3]], [],
];

export function lines(values, nu, nv, level) {
  const log = (k) => Math.log(Math.max(FLOOR, values[k]));
  const wanted = Math.log(level);
  const links = new Map(); // edge -> the edges it is joined to
  const points = new Map(); // edge -> [i, j]

  const cross = (k0, k1, i0, j0, i1, j1) => {
    const a = log(k0), b = log(k1);
    const share = (wanted - a) / (b - a);
    return [i0 + share * (i1 - i0), j0 + share * (j1 - j0)];
  };
  // Horizontal edges are numbered 2k, vertical ones 2k + 1, k being their lower left corner.
  const edge = (side, i, j) => {
    const k = j * nu + i;
    return [2 * k, 2 * (k + 1) + 1, 2 * (k + nu), 2 * k + 1][side];
  };
  const point = (side, i, j) => {
    const k = j * nu + i;
    if (side === 0) return cross(k, k + 1, i, j, i + 1, j);
    if (side === 1) return cross(k + 1, k + 1 + nu, i + 1, j, i + 1, j + 1);
    if (side === 2) return cross(k + nu, k + nu + 1, i, j + 1, i + 1, j + 1);
    return cross(k, k + nu, i, j, i, j + 1);
  };
  const join = (a, b) => {
    if (!links.has(a)) links.set(a, []);
    links.get(a).push(b);
  };

  for (let j = 0; j < nv - 1; j += 1) {
    for (let i = 0; i < nu - 1; i += 1) {
      const k = j * nu + i;
      const corners = [values[k], values[k + 1], values[k + nu + 1], values[k + nu]];
      let pattern = 0;
      for (let c = 0; c < 4; c += 1) if (corners[c] > level) pattern |= 1 << c;
      let pairs = PAIRS[pattern];
      if (pairs === null) {
        // A saddle: the middle says which corners belong together.
        const high = (corners[0] + corners[1] + corners[2] + corners[3]) / 4 > level;
        const along = [[3, 0], [1, 2]];
        const across = [[0, 1], [2, 3]];
        pairs = pattern === 5 ? (high ? across : along) : high ? along : across;
      }
      for (const [from, to] of pairs) {
        const a = edge(from, i, j), b = edge(to, i, j);
        points.set(a, point(from, i, j));
        points.set(b, point(to, i, j));
        join(a, b);
        join(b, a);
      }
    }
  }
  return trace(links, points);
}

function trace(links, points) {
  const left = new Set(links.keys());
  const found = [];
  const walk = (start) => {
    const path = [points.get(start)];
    left.delete(start);
    let at = start;
    for (;;) {
      const next = links.get(at).find((other) => left.has(other));
      if (next === undefined) break;
      left.delete(next);
      path.push(points.get(next));
      at = next;
    }
    return { path, end: at };
  };
  for (const start of [...links.keys()]) {
    if (left.has(start) && links.get(start).length === 1) found.push({ points: walk(start).path, closed: false });
  }
  for (const start of [...links.keys()]) {
    if (!left.has(start)) continue;
    const { path, end } = walk(start);
    const closed = path.length > 2 && links.get(end).includes(start);
    if (closed) path.push(path[0]);
    found.push({ points: path, closed });
  }
  return found;
}

export function label(points) {
  const n = points.length;
  const reach = Math.max(1, Math.min(6, Math.floor(n / 4)));
  let best = null;
  for (let i = reach; i < n - reach; i += 1) {
    const [ax, ay] = points[i - reach], [bx, by] = points[i + reach], [mx, my] = points[i];
    const chord = Math.hypot(bx - ax, by - ay) || 1e-9;
    const path = Math.hypot(mx - ax, my - ay) + Math.hypot(bx - mx, by - my);
    const bend = path / chord - 1 + 0.2 * Math.abs(i / n - 0.5);
    if (!best || bend < best.bend) best = { bend, at: points[i], angle: Math.atan2(by - ay, bx - ax) };
  }
  return best && { at: best.at, angle: best.angle };
}
