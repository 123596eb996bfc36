/* lumen.units: what people type for a length, and how a length is printed.
 *
 *   lumen.units.parse(text, system="cm")  -> metres, or [low, high] for a range; throws lumen.units.Unreadable
 *   lumen.units.print(metres, system)     -> "137 cm" | "4 ft 5 15/16 in"   (what one marks on a wall)
 *   lumen.units.say(metres, system)       -> "1.37 m" | "62 cm" | "4 ft 6 in" (what one says)
 *   lumen.units.grid(system)              -> snapping step in metres: 1 cm or 1/4 in
 *
 * system is "cm" or "ft-in": the unit a bare number is read in (a bare number is inches in "ft-in") and how it prints.
 * Accepts "137", "137 cm", "1.37 m", "1,37 m", "1370 mm", "4'6\"", "4 ft 6 1/2 in", "54 1/2\"", "54½ in", "55-60 cm", "about 55 to 60 cm".
 */
(function (root) {
  "use strict";
  const lumen = (root.lumen = root.lumen || {});

  const INCH = 0.0254; // exact since 1959
  const METRES = { mm: 0.001, cm: 0.01, m: 1, in: INCH, ft: 12 * INCH };
  const NAMES = {
    mm: "mm", millimetre: "mm", millimetres: "mm", millimeter: "mm", millimeters: "mm",
    cm: "cm", centimetre: "cm", centimetres: "cm", centimeter: "cm", centimeters: "cm",
    m: "m", metre: "m", metres: "m", meter: "m", meters: "m",
    in: "in", inch: "in", inches: "in", '"': "in", "″": "in", "”": "in", "''": "in",
    ft: "ft", foot: "ft", feet: "ft", "'": "ft", "′": "ft", "’": "ft",
  };
  const VULGAR = { "¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8" };
  const NUMBER = /^(\d+(?:\.\d+)?)?(?:\s*(\d+)\s*\/\s*(\d+))?/;

  class Unreadable extends Error {}

  function refuse(text) {
    return new Unreadable(
      `a length must be like "137 cm", "1.37 m", "4 ft 6 1/2 in" or "55-60 cm": got "${text}"`
    );
  }

  /** One length as a list of [amount, unit or null], e.g. "4 ft 6 1/2 in" -> [[4,"ft"],[6.5,"in"]]. */
  function pieces(part, whole) {
    let rest = part.trim();
    const found = [];
    while (rest) {
      // "4 ft 1/2 in" has a fraction only; "6 1/2" a whole number and a fraction; "3/4" a fraction only
      let hit = /^(\d+)\s*\/\s*(\d+)/.exec(rest);
      let amount;
      if (hit) {
        amount = Number(hit[1]) / Number(hit[2]);
      } else {
        hit = NUMBER.exec(rest);
        if (!hit || !hit[0]) throw refuse(whole);
        amount = Number(hit[1]) + (hit[2] ? Number(hit[2]) / Number(hit[3]) : 0);
      }
      if (!Number.isFinite(amount)) throw refuse(whole);
      rest = rest.slice(hit[0].length).trimStart();
      const word = /^(''|["″”'′’]|[a-z]+\.?)/i.exec(rest);
      let unit = null;
      if (word) {
        unit = NAMES[word[1].toLowerCase().replace(/\.$/, "")];
        if (!unit) throw refuse(whole);
        rest = rest.slice(word[0].length).replace(/^[\s,]+/, "");
      } else if (rest) {
        throw refuse(whole);
      }
      found.push([amount, unit]);
    }
    if (!found.length) throw refuse(whole);
    return found;
  }

  function metresOf(found, bare, whole) {
    const last = found[found.length - 1];
    // 4'6 means inches after feet
    if (found.length === 2 && found[0][1] === "ft" && last[1] === null) last[1] = "in";
    if (found.length === 2 && !(found[0][1] === "ft" && last[1] === "in")) throw refuse(whole);
    if (found.length > 2) throw refuse(whole);
    return found.reduce((sum, [amount, unit]) => sum + amount * METRES[unit || bare], 0);
  }

  function parse(text, system = "cm") {
    if (typeof text === "number") text = String(text);
    const whole = String(text ?? "");
    let clean = whole.trim().toLowerCase().replace(/^(about|approx\.?|ca\.?|~)\s*/, "");
    for (const [sign, words] of Object.entries(VULGAR)) clean = clean.replaceAll(sign, ` ${words}`);
    clean = clean.replace(/(\d),(\d)/g, "$1.$2").replace(/\s+/g, " ").trim();
    let minus = 1;
    if (/^[-−]/.test(clean)) {
      minus = -1;
      clean = clean.slice(1).trim();
    }
    const bare = system === "ft-in" ? "in" : "cm";
    const parts = clean.split(/\s*(?:–|—|\bto\b|-)\s*/);
    if (parts.length === 1) return minus * metresOf(pieces(parts[0], whole), bare, whole);
    if (parts.length !== 2 || minus < 0) throw refuse(whole);
    const [first, second] = parts.map((part) => pieces(part, whole));
    // "55-60 cm": the unit at the end speaks for both
    if (first.length === 1 && first[0][1] === null && second.length === 1) first[0][1] = second[0][1];
    const range = [metresOf(first, bare, whole), metresOf(second, bare, whole)];
    if (range[0] > range[1]) {
      throw new Unreadable(`a range must be low first, like "55-60 cm": got "${whole}"`);
    }
    return range;
  }

  function trimmed(number, decimals) {
    const text = number.toFixed(decimals);
    return text.includes(".") ? text.replace(/\.?0+$/, "") : text;
  }

  function feetInches(metres, denominator) {
    const sign = metres < 0 ? "-" : "";
    let parts = Math.round((Math.abs(metres) / INCH) * denominator);
    const feet = Math.floor(parts / (12 * denominator));
    parts -= feet * 12 * denominator;
    const inches = Math.floor(parts / denominator);
    let over = parts - inches * denominator;
    let under = denominator;
    while (over && over % 2 === 0) {
      over /= 2;
      under /= 2;
    }
    const fraction = over ? `${over}/${under}` : "";
    const words = [];
    if (feet) words.push(`${feet} ft`);
    if (inches || fraction || !feet) {
      words.push(`${[inches || !fraction ? inches : "", fraction].filter((w) => w !== "").join(" ")} in`);
    }
    const text = words.join(" ");
    return text === "0 in" ? text : sign + text;
  }

  function print(metres, system = "cm") {
    if (system === "ft-in") return feetInches(metres, 16);
    const text = trimmed(metres * 100, 1);
    return `${text === "-0" ? "0" : text} cm`;
  }

  function say(metres, system = "cm") {
    if (system === "ft-in") return feetInches(metres, 4);
    const cm = Math.round(metres * 100);
    return Math.abs(cm) >= 100 ? `${(cm / 100).toFixed(2)} m` : `${cm === 0 ? 0 : cm} cm`;
  }

  function grid(system = "cm") {
    return system === "ft-in" ? INCH / 4 : 0.01;
  }

  lumen.units = { parse, print, say, grid, Unreadable, INCH };
})(typeof window === "undefined" ? globalThis : window);
