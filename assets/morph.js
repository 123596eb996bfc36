/* morph: new HTML into an element, changing only what differs, so that focus, open drawers and typed text stay.
 *
 *   morph(element, html)
 *
 * Elements are matched in order by tag and data-key. Left alone: whether a <details> is open, the field that has the
 * focus while it is typed in, boxes that no plan speaks of, what scripts draw inside [data-lm-thumb], [data-lm-levels], [data-lm-view], .lm-fault.
 */

const OWNED = "[data-lm-thumb], [data-lm-levels], [data-lm-view], [data-example-picture], .lm-fault";
const KEPT = new Set(["open", "aria-invalid", "data-lm-key"]);

const alike = (a, b) =>
  a.nodeType === b.nodeType &&
  (a.nodeType !== 1 || (a.tagName === b.tagName && (a.dataset.key || "") === (b.dataset.key || "")));

function attributes(old, next) {
  for (const { name } of [...old.attributes]) {
    if (!next.hasAttribute(name) && !KEPT.has(name) && !(old.matches(OWNED) && (name === "class" || name === "role"))) {
      old.removeAttribute(name);
    }
  }
  for (const { name, value } of [...next.attributes]) {
    if (KEPT.has(name) || old.getAttribute(name) === value) continue;
    if (name === "class" && old.matches(OWNED)) continue; // scripts add their own
    old.setAttribute(name, value);
  }
}

function value(old, next) {
  const typing = old === document.activeElement && old.type !== "color";
  if (old.tagName === "INPUT" && !typing) old.value = next.getAttribute("value") || "";
  if (old.tagName === "TEXTAREA" && !typing) old.value = next.value;
  // The plan says what these are; other boxes are the page's own.
  if (old.type === "checkbox" && old.closest("[data-field], [data-run], [data-reads]")) old.checked = next.hasAttribute("checked");
  if (old.tagName === "SELECT") {
    const chosen = [...next.options].findIndex((option) => option.hasAttribute("selected"));
    if (chosen >= 0) old.selectedIndex = chosen;
  }
}

function children(old, next) {
  let at = old.firstChild;
  for (const fresh of [...next.childNodes]) {
    // A keyed thing may have moved up because what stood before it is gone.
    let match = at;
    while (match && !alike(match, fresh)) match = match.nextSibling;
    const found = match && (match === at || (match.nodeType === 1 && match.dataset.key)) ? match : null;
    if (!found) {
      old.insertBefore(fresh, at);
      continue;
    }
    while (at !== found) {
      const gone = at;
      at = at.nextSibling;
      gone.remove();
    }
    at = found.nextSibling;
    node(found, fresh);
  }
  while (at) {
    const gone = at;
    at = at.nextSibling;
    gone.remove();
  }
}

function node(old, next) {
  if (old.nodeType !== 1) {
    if (old.nodeValue !== next.nodeValue) old.nodeValue = next.nodeValue;
    return;
  }
  attributes(old, next);
  if (!old.matches(OWNED)) children(old, next);
  value(old, next);
}

export function morph(element, html) {
  const made = document.createElement("template");
  made.innerHTML = html;
  children(element, made.content);
};
