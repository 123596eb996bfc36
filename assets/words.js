/* words: numbers as people say them, word for word as the server says them.
 *
 *   amount(291.37)          -> "290"
 *   about(291.37, 233, 348) -> "about 290 lx (230-350)"; "under 0.1 lx" when even the high end is
 *   watts(91.6)             -> "92 W"
 *   amperes(0.7634)         -> "0.76 A"
 */

/** Decimal text of a number rounded to `places` (may be negative), exact ties to the even digit. */
function rounded(value, places) {
  if (places < 0) {
    const unit = 10 ** -places;
    const quotient = value / unit;
    const floor = Math.floor(quotient);
    const rest = value - floor * unit;
    const up = rest > unit / 2 || (rest === unit / 2 && floor % 2 !== 0);
    return String((up ? floor + 1 : floor) * unit);
  }
  const scaled = value * 10 ** places;
  // Only multiples of 1/2^(places+1) can be exact ties in binary, and for them the product above is exact.
  if (Number.isInteger(value * 2 ** (places + 1)) && Math.abs(scaled * 2) % 2 === 1) {
    const floor = Math.floor(scaled);
    return ((floor % 2 === 0 ? floor : floor + 1) / 10 ** places).toFixed(places);
  }
  return value.toFixed(places);
}

export function amount(value) {
  if (value === 0) return "0";
  const place = Math.floor(Math.log10(Math.abs(Number(value.toPrecision(2)))) + 1e-15); // 9.96 is written with the digits of 10
  const digits = place >= 3 ? 3 : 2;
  return rounded(value, Math.min(2, digits - 1 - place)); // rounded once: 0.0754 is 0.08
}

export function about(value, low, high, unit = "lx") {
  if (high < 0.1) return `under 0.1 ${unit}`;
  return `about ${amount(value)} ${unit} (${amount(low)}-${amount(high)})`;
}

export function watts(value) {
  return `${rounded(value, value >= 10 ? 0 : 1)} W`;
}

export function amperes(value) {
  return `${rounded(value, value >= 10 ? 1 : 2)} A`;
}
