/* units: what people type for a length, and how a length is printed; reads exactly as lumen/units.py does.
 *
 *   parse(text, system="cm")  -> metres, or [low, high] for a range; throws Unreadable
 *   print(metres, system)     -> "137.5 cm" | 4' 6 1/2"            (what one marks on a wall)
 *   say(metres, system)       -> "1.37 m" | "62 cm" | "4 ft 6 in"  (what one says, and a screen reader reads)
 *   grid(system)              -> snapping step in metres: 1 cm or 1/4 in
 *
 * system is "cm" or "ft-in": the unit a bare number is read in (inches for "ft-in") and how it prints.
 * Accepts "137", "137 cm", "1.37 m", "1,37 m", "1 m 37", "4'6\"", "4 ft 6 1/2 in", "54½ in", "55-60 cm", "between 55 and 60 cm",
 * "60 +/- 2 cm" and "about 60 cm" (give or take a twentieth). Refuses what can be read in two ways ("1,200").
 */

export const INCH = 0.0254; // exact since 1959
const FOOT = 12 * INCH;
const ABOUT_SHARE = 0.05;
const UNITS = new Map(
  /** @type {[number, string[]][]} */ ([
    [1, ["m", "metre", "metres", "meter", "meters"]],
    [0.01, ["cm", "centimetre", "centimetres", "centimeter", "centimeters"]],
    [0.001, ["mm", "millimetre", "millimetres", "millimeter", "millimeters"]],
    [FOOT, ["ft", "foot", "feet", "'"]],
    [INCH, ["in", "inch", "inches", '"']],
  ]).flatMap(([size, names]) => names.map((name) => /** @type {[string, number]} */ ([name, size])))
);
const SIGNS = {
  "’": "'", "′": "'", "‘": "'", "”": '"', "″": '"', "“": '"', "–": "-", "—": "-", "−": "-", "½": " 1/2", "¼": " 1/4", "¾": " 3/4",
  "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
};
const NUMBER = "(?:\\d+[ -]+\\d+/\\d+|\\d+/\\d+|(?:\\d+(?:[.,]\\d+)?|[.,]\\d+))";
const ONE = new RegExp(`^(${NUMBER})\\s*([a-z°'"]*)\\.?$`);
/** @type {[RegExp, number, number][]} */
const COMPOUNDS = [
  [new RegExp(`^(\\d+)\\s*(?:'|ft\\.?|foot|feet)\\s*-?\\s*(${NUMBER})\\s*(?:"|in\\.?|inch|inches)?$`), FOOT, INCH],
  [/^(\d+)\s*m\s*(\d{2}|\d(?=\s*cm))\s*(?:cm)?$/, 1, 0.01],
];
const ABOUT = /^(?:about|approximately|approx\.?|around|circa|ca\.?|c\.|~|≈)\s*/;
const EXAMPLE = "1.68 m, 168 cm or 5 ft 6 1/2 in";

export class Unreadable extends Error {}

function reader(text, size) {
  const refusal = (rule) => new Unreadable(`length ${rule}: got "${text}"`);
  const tidy = (value) => Number(value.toFixed(12)) + 0;

  function number(word) {
    if (word.includes("/")) {
      const [, whole, top, bottom] = /** @type {RegExpExecArray} */ (/^(?:(\d+)[ -]+)?(\d+)\/(\d+)$/.exec(word));
      if (Number(bottom) === 0 || (whole && Number(top) >= Number(bottom))) {
        throw refusal(`must hold a proper fraction, not ${top}/${bottom}`);
      }
      return Number(whole || 0) + Number(top) / Number(bottom);
    }
    const [whole, rest] = word.split(",");
    if (rest && rest.length === 3 && whole !== "" && whole !== "0") {
      throw refusal(`must say whether ${whole}.${rest} or ${whole}${rest} is meant, without the comma`);
    }
    const value = Number(word.replace(",", "."));
    if (!Number.isFinite(value) || value > 1e9) throw refusal("must be a number of a size that occurs in a room");
    return value;
  }

  function single(part, bareSize = size) {
    const sign = part.startsWith("-") ? -1 : 1;
    const bare = part.replace(/^-+/, "").trim();
    for (const [pattern, large, small] of COMPOUNDS) {
      const found = pattern.exec(bare);
      if (!found) continue;
      const rest = number(found[2]) * small;
      if (rest >= large) throw refusal("must have a second part smaller than one of the first");
      return tidy(sign * (number(found[1]) * large + rest));
    }
    const found = ONE.exec(bare);
    if (!found) return null;
    if (found[2] && !UNITS.has(found[2])) throw refusal(`must be in one of m, cm, mm, ft, in, not '${found[2]}'`);
    return tidy(sign * number(found[1]) * (found[2] ? UNITS.get(found[2]) : bareSize));
  }

  /** The unit at the end of a range also holds for its bare first number. */
  function unitOf(part) {
    const found = ONE.exec(part.trim());
    return found && UNITS.has(found[2]) ? UNITS.get(found[2]) : size;
  }

  function range(first, second) {
    const high = single(second);
    const low = high === null ? null : single(first, unitOf(second));
    if (low === null || high === null) throw refusal("must be a range such as 55-60 cm");
    if (low > high) throw refusal("must be a range with the smaller number first");
    return low === high ? low : [low, high];
  }

  function giveOrTake(first, second) {
    const margin = single(second);
    const value = single(first, unitOf(second));
    if (value === null || margin === null || margin < 0) throw refusal("must be an amount and its margin, such as 60 +/- 2 cm");
    return margin === 0 ? value : [value - margin, value + margin];
  }

  return { refusal, single, range, giveOrTake };
}

export function parse(text, system = "cm") {
  const typed = typeof text === "number" ? String(text) : text;
  const read = reader(typed, system === "ft-in" ? INCH : 0.01);
  if (typeof typed !== "string" || typed.length > 60) throw read.refusal(`must be a short text such as ${EXAMPLE}`);
  let plain = [...typed].map((sign) => SIGNS[sign] ?? sign).join("");
  plain = plain.replaceAll("''", '"').toLowerCase().split(/\s+/).filter(Boolean).join(" ");
  const about = ABOUT.exec(plain);
  if (about) plain = plain.slice(about[0].length);
  const margin = /^(.+?)\s*(?:±|\+\/-|\+-)\s*(.+)$/.exec(plain);
  if (margin) return read.giveOrTake(margin[1], margin[2]);
  const value = read.single(plain);
  if (value === null) {
    const ends = /^between (.+) and (.+)$/.exec(plain) || /^(.+?)\s*(?:-|\bto\b|\.\.)\s*(.+)$/.exec(plain);
    if (ends) return read.range(ends[1], ends[2]);
    throw read.refusal(`must be an amount such as ${EXAMPLE}`);
  }
  if (about && value !== 0) return [value - Math.abs(value) * ABOUT_SHARE, value + Math.abs(value) * ABOUT_SHARE];
  return value;
}

/** Feet, inches and a reduced fraction of a length, to 1/parts inch. */
function feetInches(metres, parts) {
  let rest = Math.round((Math.abs(metres) / INCH) * parts);
  const minus = metres < 0 && rest ? "-" : "";
  const feet = Math.floor(rest / (12 * parts));
  rest -= feet * 12 * parts;
  const inches = Math.floor(rest / parts);
  let over = rest - inches * parts;
  let under = parts;
  while (over && over % 2 === 0) [over, under] = [over / 2, under / 2];
  const fraction = over ? `${over}/${under}` : "";
  return { minus, feet, inches: [inches || !over ? String(inches) : "", fraction].filter(Boolean).join(" ") };
}

export function print(metres, system = "cm") {
  if (system === "ft-in") {
    const { minus, feet, inches } = feetInches(metres, 16);
    return `${minus}${feet ? `${feet}' ` : ""}${inches}"`;
  }
  return `${Number((metres * 100).toFixed(1)) + 0} cm`; // to the millimetre: that is what gets marked
}

export function say(metres, system = "cm") {
  if (system === "ft-in") {
    const { minus, feet, inches } = feetInches(metres, 4);
    const words = [feet ? `${feet} ft` : "", inches !== "0" || !feet ? `${inches} in` : ""].filter(Boolean);
    return minus + words.join(" ");
  }
  const cm = Math.round(metres * 100) + 0;
  return Math.abs(cm) >= 100 ? `${(cm / 100).toFixed(2)} m` : `${cm} cm`;
}

export function grid(system = "cm") {
  return system === "ft-in" ? INCH / 4 : 0.01;
}
