/* colours: colours by OKLab, and the one scale on which every lux map is drawn.
 *
 *   fromOklch(L, C, hueDeg) -> [r,g,b] 0..255 (sRGB)          toOklab([r,g,b]) -> [L, a, b]
 *   SCALE = {low_lx: 0.3, high_lx: 1000}                      fixed for every setup and every plane
 *   place(lx)   -> 0..1 along the scale, even in the logarithm (equal steps = equal ratios)
 *   ofLux(lx)   -> [r,g,b]
 *   lux(values, nu, nv, bytes) -> RGBA bytes, rows turned so that v grows upward
 *   TICKS       -> lx values that the legend and the contours are labelled with
 *
 * The ramp climbs evenly in OKLab lightness from night blue by plum and clay to candle straw, so that it reads in grey
 * and for any colour vision. Formulas: B. Ottosson, "A perceptual color space for image processing", 2020.
 */

function linear(code) {
  const c = code / 255;
  return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
}

function coded(value) {
  const v = Math.min(1, Math.max(0, value));
  return Math.round(255 * (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055));
}

export function fromOklab(L, a, b) {
  const l = (L + 0.3963377774 * a + 0.2158037573 * b) ** 3;
  const m = (L - 0.1055613458 * a - 0.0638541728 * b) ** 3;
  const s = (L - 0.0894841775 * a - 1.291485548 * b) ** 3;
  return [
    coded(4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s),
    coded(-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s),
    coded(-0.0041960863 * l - 0.7034186147 * m + 1.707614701 * s),
  ];
}

export function fromOklch(L, C, hueDeg) {
  const hue = (hueDeg * Math.PI) / 180;
  return fromOklab(L, C * Math.cos(hue), C * Math.sin(hue));
}

export function toOklab([red, green, blue]) {
  const r = linear(red), g = linear(green), b = linear(blue);
  const l = Math.cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b);
  const m = Math.cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b);
  const s = Math.cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b);
  return [
    0.2104542553 * l + 0.793617785 * m - 0.0040720468 * s,
    1.9779984951 * l - 2.428592205 * m + 0.4505937099 * s,
    0.0259040371 * l + 0.7827717662 * m - 0.808675766 * s,
  ];
}

export const SCALE = { low_lx: 0.3, high_lx: 1000 };
export const TICKS = [0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000];
const SIZE = 512;
// [place, lightness, a, b]: corners of a path through OKLab, walked at even speed.
const CORNERS = [
  [0.20, 0.0, -0.055],
  [0.36, 0.055, -0.07],
  [0.52, 0.1, 0.0],
  [0.68, 0.085, 0.075],
  [0.82, 0.03, 0.105],
  [0.96, -0.005, 0.05],
];
export const RAMP = ramp(SIZE);

function ramp(size) {
  const lengths = [0];
  for (let i = 1; i < CORNERS.length; i += 1) {
    lengths.push(lengths[i - 1] + Math.hypot(...CORNERS[i].map((value, k) => value - CORNERS[i - 1][k])));
  }
  const whole = lengths[lengths.length - 1];
  return Array.from({ length: size }, (_, i) => {
    const along = (i / (size - 1)) * whole;
    const k = Math.min(CORNERS.length - 2, Math.max(0, lengths.findIndex((length) => length >= along) - 1));
    const share = (along - lengths[k]) / (lengths[k + 1] - lengths[k]);
    const [L, a, b] = CORNERS[k].map((value, j) => value + share * (CORNERS[k + 1][j] - value));
    return fromOklab(L, a, b);
  });
}

const LOW = Math.log(SCALE.low_lx);
const SPAN = Math.log(SCALE.high_lx) - LOW;

export function place(lx) {
  return lx > 0 ? Math.min(1, Math.max(0, (Math.log(lx) - LOW) / SPAN)) : 0;
}

export function ofLux(lx) {
  return RAMP[Math.round(place(lx) * (SIZE - 1))];
}

/** @param {Uint8ClampedArray | null} bytes */
export function lux(values, nu, nv, bytes = null) {
  const out = bytes || new Uint8ClampedArray(4 * nu * nv);
  for (let row = 0; row < nv; row += 1) {
    for (let i = 0; i < nu; i += 1) {
      const colour = ofLux(values[row * nu + i]);
      const to = 4 * ((nv - 1 - row) * nu + i);
      out[to] = colour[0];
      out[to + 1] = colour[1];
      out[to + 2] = colour[2];
      out[to + 3] = 255;
    }
  }
  return out;
}

export function css(rgb) {
  return `rgb(${rgb[0]},${rgb[1]},${rgb[2]})`;
}
