/* relight: any setup of the lights as a weighted sum of maps sent once. Pure functions on typed arrays.
 *
 *   prepare(fields)                     -> ready = {sources, grids: {name: grid}, tint, pages, reading}; once per study
 *   merge(ready, fields)                -> new ready with some sources' maps replaced (a preview's answer)
 *   weights(ready, levels, setup)       -> Float32Array, one level a source as it really is (levels = {id: 0..1} as asked); in the setup (id)
 *                                          that says who reads, a page that gives back light stands at the lux on it, one that glows at 1,
 *                                          what a page keeps of a light's (a map of 0 or less) at the light's own level
 *   tints(ready, weights)               -> [[r, g, b], ...] a source; a page's is that of the light on it
 *   given(rule, level)                  -> what comes of an asked level: on or off, or no lower than the lowest
 *   illuminance(grid, weights, part)    -> Float32Array [lx]; part "both" | "direct" | "bounced"
 *   luminance(grid, weights, tint)      -> Float32Array 3n, linear RGB whose luminance is in cd/m2 (matt surface: rho E / pi)
 *   tone(value, exposure)               -> 0..255; the fixed curve: sRGB of 1 - exp(-L / exposure)
 *   pixels(rgb, exposure, bytes)        -> RGBA bytes of a whole map, rows turned so that v grows upward
 *   faceColours(rgb, exposure)          -> ["rgb(r,g,b)", ...] for a mesh's faces
 *   levelsOf(plan, setupId)             -> {id: level}; "everything on" = all at 1
 *   fullShares(plan, study, target, setup) -> {id: {direct_lx, bounced_lx}} at full level, as far as the study tells
 *
 * A grid: {nu, nv, u0, v0, du, dv, corner, u, v, reflectance: [r,g,b], direct: [Float32Array|null per source], bounced: [...]},
 * free: "0110..." says which cells lie in the room and in no furniture;
 * row-major, row 0 at v0, first cell's corner at (u0, v0); corner, u, v place it in the room. `exposure` [cd/m2] is the luminance shown at 63 % of the screen's light.
 */

/**
 * A surface in cells: see the head of this file.
 * @typedef {{nu: number, nv: number, u0: number, v0: number, du: number, dv: number, corner: number[] | null, u: number[] | null,
 *   v: number[] | null, free: string | null, reflectance: number[], direct: (Float32Array | null)[], bounced: (Float32Array | null)[]}} Grid
 * @typedef {{sources: string[], grids: Record<string, Grid>, tint: number[][], dimming: Record<string, any>,
 *   pages: Record<string, Record<string, number>>, shadows: Record<string, {page: string, source: string}>,
 *   reading: Record<string, string[]>}} Ready
 */

export const EVERYTHING = "everything on";

/** Numbers of a map: a plain list, a typed array, or float32 little-endian in base64. */
export function floats(values) {
  if (!values) return null;
  if (values instanceof Float32Array) return values;
  if (typeof values === "string") {
    const text = atob(values);
    const bytes = new Uint8Array(text.length);
    for (let i = 0; i < text.length; i += 1) bytes[i] = text.charCodeAt(i);
    return new Float32Array(bytes.buffer);
  }
  return Float32Array.from(values);
}

/** Linear RGB reflectances of a paint: its colour, scaled so that its luminance is the reflectance on the card. */
export function coloured(reflectance, colour) {
  if (!colour) return [reflectance, reflectance, reflectance];
  const linear = [1, 3, 5].map((at) => {
    const code = parseInt(colour.slice(at, at + 2), 16) / 255;
    return code <= 0.04045 ? code / 12.92 : ((code + 0.055) / 1.055) ** 2.4;
  });
  const luminance = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2];
  if (luminance < 1e-4) return [reflectance, reflectance, reflectance];
  return linear.map((value) => (value * reflectance) / luminance);
}

function gridOf(written, sources) {
  const origin = written.origin_m || [0, 0];
  const maps = (part) => sources.map((id) => floats(written[part]?.[id]));
  return {
    nu: written.nu,
    nv: written.nv,
    u0: origin[0],
    v0: origin[1],
    du: written.size_m[0] / written.nu,
    dv: written.size_m[1] / written.nv,
    corner: written.corner_m || null,
    u: written.u || null,
    v: written.v || null,
    free: written.free || null,
    reflectance: coloured(written.reflectance ?? 0.5, written.colour),
    direct: maps("direct"),
    bounced: maps("bounced"),
  };
}

/** @returns {Ready | null} */
export function prepare(fields) {
  if (!fields?.grids) return null;
  const sources = [...(fields.sources || [])];
  /** @type {Record<string, Grid>} */
  const grids = {};
  for (const [name, grid] of Object.entries(fields.grids)) grids[name] = gridOf(grid, sources);
  const tint = sources.map((id) => fields.tint?.[id] || [1, 1, 1]);
  const { dimming = {}, pages = {}, shadows = {}, reading = {} } = fields;
  return { sources, grids, tint, dimming, pages, shadows, reading };
}

/** @param {Ready | null} ready  @returns {Ready | null} */
export function merge(ready, fields) {
  if (!ready || !fields?.grids) return ready;
  const grids = { ...ready.grids };
  for (const [name, written] of Object.entries(fields.grids)) {
    const old = grids[name];
    const fresh = gridOf(written, ready.sources);
    if (!old || old.nu !== fresh.nu || old.nv !== fresh.nv) continue; // another mesh: wait for the whole study
    const take = (part) => old[part].map((map, i) => fresh[part][i] || map);
    grids[name] = { ...old, direct: take("direct"), bounced: take("bounced") };
  }
  const tint = ready.tint.map((was, i) => fields.tint?.[ready.sources[i]] || was);
  const { pages = ready.pages, reading = ready.reading } = fields;
  return { ...ready, grids, tint, pages: { ...ready.pages, ...pages }, reading };
}

/**
 * @param {Ready} ready
 * @param {Record<string, number> | null} levels
 * @param {string | null} setup
 */
export function weights(ready, levels, setup = null) {
  const { dimming: rules = {}, pages = {}, shadows = {} } = ready;
  const read = new Set(ready.reading?.[setup ?? ""] || []);
  const own = (id) => (id.startsWith("screen:") ? Number(read.has(id)) : given(rules[id], levels?.[id] || 0));
  const onPage = (of) => Object.entries(of).reduce((sum, [id, lx]) => sum + lx * own(id), 0);
  return Float32Array.from(ready.sources, (id) => {
    if (pages[id]) return read.has(id) ? onPage(pages[id]) : 0;
    if (shadows[id]) return read.has(shadows[id].page) ? own(shadows[id].source) : 0;
    return own(id);
  });
}

/** @param {Ready} ready  @param {Float32Array} w  @returns {number[][]} */
export function tints(ready, w) {
  const { pages = {}, shadows = {} } = ready;
  const at = (id) => ready.sources.indexOf(id);
  return ready.sources.map((name, p) => {
    if (shadows[name]) return ready.tint[at(shadows[name].source)];
    if (!pages[name] || !w[p]) return ready.tint[p];
    const mixed = [0, 0, 0];
    for (const [id, lx] of Object.entries(pages[name])) {
      const share = (lx * (w[at(id)] || 0)) / w[p];
      if (share) for (let k = 0; k < 3; k += 1) mixed[k] += share * ready.tint[at(id)][k];
    }
    return mixed;
  });
}

/** The same rule as lumen/study/scene/levels.py, from its data. */
export function given(rule, level) {
  if (!(level > 0)) return 0;
  if (!rule) return level;
  return rule.on_off ? 1 : Math.max(level, rule.lowest || 0);
}

function add(out, map, weight) {
  for (let i = 0; i < out.length; i += 1) out[i] += weight * map[i];
}

/** @param {Grid} grid  @param {Float32Array} w  @param {"both" | "direct" | "bounced"} part  @param {Float32Array | null} out */
export function illuminance(grid, w, part = "both", out = null) {
  const sum = out ? out.fill(0) : new Float32Array(grid.nu * grid.nv);
  for (let s = 0; s < w.length; s += 1) {
    if (!w[s]) continue;
    if (part !== "bounced" && grid.direct[s]) add(sum, grid.direct[s], w[s]);
    if (part !== "direct" && grid.bounced[s]) add(sum, grid.bounced[s], w[s]);
  }
  return sum;
}

/** @param {Grid} grid  @param {Float32Array} w  @param {number[][]} tint  @param {Float32Array | null} out */
export function luminance(grid, w, tint, out = null) {
  const n = grid.nu * grid.nv;
  const rgb = out ? out.fill(0) : new Float32Array(3 * n);
  for (let s = 0; s < w.length; s += 1) {
    if (!w[s]) continue;
    const direct = grid.direct[s];
    const bounced = grid.bounced[s];
    const scale = w[s] / Math.PI;
    const r = scale * tint[s][0] * grid.reflectance[0];
    const g = scale * tint[s][1] * grid.reflectance[1];
    const b = scale * tint[s][2] * grid.reflectance[2];
    for (let i = 0, k = 0; i < n; i += 1, k += 3) {
      const lx = (direct ? direct[i] : 0) + (bounced ? bounced[i] : 0);
      rgb[k] += r * lx;
      rgb[k + 1] += g * lx;
      rgb[k + 2] += b * lx;
    }
  }
  return rgb;
}

/** IEC 61966-2-1 (sRGB): linear light 0..1 to the coded value 0..1. */
function coded(linear) {
  return linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055;
}

export function tone(value, exposure) {
  return 255 * coded(1 - Math.exp(-Math.max(0, value) / exposure));
}

// The curve as a table over the square root of L / exposure, fine where it is dark.
const STEPS = 2048;
const REACH = 9;
const TABLE = Uint8ClampedArray.from({ length: STEPS + 1 }, (_, i) => tone(REACH * (i / STEPS) ** 2, 1));

function code(value, exposure) {
  const x = value / exposure;
  return x > 0 ? TABLE[x >= REACH ? STEPS : (Math.sqrt(x / REACH) * STEPS + 0.5) | 0] : 0;
}

/** @param {Uint8ClampedArray | null} bytes */
export function pixels(rgb, nu, nv, exposure, bytes = null) {
  const out = bytes || new Uint8ClampedArray(4 * nu * nv);
  for (let row = 0; row < nv; row += 1) {
    let from = 3 * row * nu;
    let to = 4 * (nv - 1 - row) * nu;
    for (let i = 0; i < nu; i += 1, from += 3, to += 4) {
      out[to] = code(rgb[from], exposure);
      out[to + 1] = code(rgb[from + 1], exposure);
      out[to + 2] = code(rgb[from + 2], exposure);
      out[to + 3] = 255;
    }
  }
  return out;
}

/** A map drawn `times` finer, straight between cell centres, in linear light (so before the tone curve). */
export function finer(rgb, nu, nv, times) {
  const mu = nu * times;
  const mv = nv * times;
  const out = new Float32Array(3 * mu * mv);
  // Straight between cells one way, then the other: first a blended row, then its points.
  const left = new Int32Array(mu), right = new Int32Array(mu), share = new Float32Array(mu);
  for (let col = 0; col < mu; col += 1) {
    const x = Math.min(nu - 1, Math.max(0, (col + 0.5) / times - 0.5));
    left[col] = 3 * Math.floor(x);
    right[col] = 3 * Math.min(nu - 1, Math.floor(x) + 1);
    share[col] = x - Math.floor(x);
  }
  const blend = new Float32Array(3 * nu);
  for (let row = 0, to = 0; row < mv; row += 1) {
    const y = Math.min(nv - 1, Math.max(0, (row + 0.5) / times - 0.5));
    const low = 3 * nu * Math.floor(y), high = 3 * nu * Math.min(nv - 1, Math.floor(y) + 1);
    const up = y - Math.floor(y);
    for (let k = 0; k < blend.length; k += 1) blend[k] = rgb[low + k] + up * (rgb[high + k] - rgb[low + k]);
    for (let col = 0; col < mu; col += 1, to += 3) {
      const p = left[col], q = right[col], f = share[col];
      out[to] = blend[p] + f * (blend[q] - blend[p]);
      out[to + 1] = blend[p + 1] + f * (blend[q + 1] - blend[p + 1]);
      out[to + 2] = blend[p + 2] + f * (blend[q + 2] - blend[p + 2]);
    }
  }
  return out;
}

export function faceColours(rgb, exposure) {
  const out = new Array(rgb.length / 3);
  for (let i = 0, k = 0; i < out.length; i += 1, k += 3) {
    out[i] = `rgb(${code(rgb[k], exposure)},${code(rgb[k + 1], exposure)},${code(rgb[k + 2], exposure)})`;
  }
  return out;
}

export function levelsOf(plan, setupId) {
  if (setupId && typeof setupId === "object") return setupId.levels || levelsOf(plan, setupId.id);
  if (setupId === EVERYTHING) {
    return Object.fromEntries([...(plan.lights || []), ...(plan.strips || [])].map((item) => [item.id, 1]));
  }
  const found = (plan.setups || []).find((setup) => setup.id === setupId);
  return found?.levels || {};
}

export function fullShares(plan, study, target, setup = null) {
  const shares = {};
  const known = [...(study.planes || []), ...(study.eyes || [])].filter((answer) => answer.target === target);
  // The setup's own answer first: what a page that is read gives back of a light counts with that light.
  for (const answer of [...known.filter((each) => each.setup === setup), ...known.filter((each) => each.setup !== setup)]) {
    const levels = levelsOf(plan, answer.setup);
    for (const share of answer.by_source || []) {
      const level = given(study.dimming?.[share.id], levels[share.id]);
      if (level > 0 && !shares[share.id]) {
        shares[share.id] = { direct_lx: share.direct_lx / level, bounced_lx: share.bounced_lx / level };
      }
    }
  }
  return shares;
}
