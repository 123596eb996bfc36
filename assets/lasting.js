/* lasting: small choices that this browser keeps.
 *
 *   keep(key, text), kept(key) -> text or null; without storage nothing is kept
 */

export function keep(key, value) {
  try {
    localStorage.setItem(key, value);
  } catch {
    /* storage is switched off: nothing to keep it in */
  }
}

export function kept(key) {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
}
