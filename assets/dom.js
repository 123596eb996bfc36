/* dom: parts of the page, found by what they are called.
 *
 *   part(id) -> the element or null                       all(selector, where) -> [element, ...]
 *   one(selector, where) -> the first one or null         closest(event, selector) -> the element around what was pressed, or null
 */

/** @param {string} id  @returns {HTMLElement | null} */
export const part = (id) => document.getElementById(id);

/** @param {string} id  @returns {HTMLInputElement | null}  a field: an input, a list or a text */
export const field = (id) => /** @type {HTMLInputElement | null} */ (document.getElementById(id));

/** @param {string} selector  @param {ParentNode} where  @returns {HTMLElement[]} */
export const all = (selector, where = document) => [.../** @type {NodeListOf<HTMLElement>} */ (where.querySelectorAll(selector))];

/** @param {string} selector  @param {ParentNode} where  @returns {HTMLElement | null} */
export const one = (selector, where = document) => /** @type {HTMLElement | null} */ (where.querySelector(selector));

/** @param {Event} event  @param {string} selector  @returns {any}  of whatever kind it is */
export const closest = (event, selector) => (event.target instanceof Element ? event.target.closest(selector) : null);
