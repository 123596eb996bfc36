/* kept: the plan kept by itself in a folder of the person's, while the page is served to this computer.
 *
 *   keeper({send(plan) -> Promise, onTrouble(error), onBack(), wait_ms, retry_ms, timer}) -> {note(plan), flush()}
 *       one write at a time, at most wait_ms after the first change; the newest plan waits while one is on its way.
 *       One that fails is told once and tried again every retry_ms until it is kept, which is told too.
 *   rows(plans, now) -> [{mark, title, when, trouble, earlier: [{mark, when}]}]   newest first, versions under their plan
 *   when(iso, now)   -> "today 14:05" | "yesterday 9:30" | "3 Nov 14:05"
 *   fill(element, plans, now)   buttons with data-kept="mark"
 */

const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/** @param {{send: (plan: any) => any, onTrouble?: (error: any) => void, onBack?: () => void, wait_ms?: number, retry_ms?: number, timer?: any}} how */
export function keeper({ send, onTrouble = () => {}, onBack = () => {}, wait_ms = 1200, retry_ms = 10000, timer = globalThis }) {
  let failing = false;
  let waiting = null; // the newest plan not yet sent
  let clock = null;
  let going = false;

  function flush() {
    if (clock !== null) timer.clearTimeout(clock);
    clock = null;
    if (going || waiting === null) return;
    const plan = waiting;
    waiting = null;
    going = true;
    Promise.resolve()
      .then(() => send(plan))
      .then(
        () => {
          if (failing) onBack();
          failing = false;
        },
        (error) => {
          if (waiting === null) waiting = plan;
          if (!failing) onTrouble(error);
          failing = true;
        }
      )
      .finally(() => {
        going = false;
        if (waiting !== null && clock === null) clock = timer.setTimeout(flush, failing ? retry_ms : wait_ms);
      });
  }

  return {
    note(plan) {
      waiting = plan;
      if (clock === null && !going) clock = timer.setTimeout(flush, wait_ms);
    },
    flush,
  };
}

export function when(iso, now = new Date()) {
  const at = new Date(iso);
  const clock = `${at.getHours()}:${String(at.getMinutes()).padStart(2, "0")}`;
  const midnight = new Date(now.getFullYear(), now.getMonth(), now.getDate());
  if (at >= midnight) return `today ${clock}`;
  if (at >= new Date(midnight.getTime() - 864e5)) return `yesterday ${clock}`;
  const year = at.getFullYear() === now.getFullYear() ? "" : ` ${at.getFullYear()}`;
  return `${at.getDate()} ${MONTHS[at.getMonth()]}${year} ${clock}`;
}

export function rows(plans, now = new Date()) {
  const found = new Map();
  for (const { mark, title, when: iso, latest, trouble } of plans) {
    const name = mark.split("/")[0];
    if (!found.has(name)) found.set(name, { mark: name, title, when: null, earlier: [] });
    const row = found.get(name);
    if (latest) Object.assign(row, { mark, title, when: when(iso, now), trouble: trouble || null });
    else if (!trouble) row.earlier.push({ mark, when: when(iso, now) });
  }
  return [...found.values()].filter((row) => row.when !== null);
}

export function fill(element, plans, now = new Date()) {
  const doc = document;
  const press = (mark, text, label) => {
    const button = doc.createElement("button");
    Object.assign(button, { type: "button", className: "lm-button is-quiet", textContent: text });
    button.dataset.kept = mark;
    button.setAttribute("aria-label", label);
    return button;
  };
  const items = rows(plans, now).map((row) => {
    const item = doc.createElement("li");
    if (row.trouble) {
      const words = doc.createElement("span");
      words.textContent = `${row.title}, ${row.when}: cannot be opened; ${row.trouble}`;
      item.append(words);
    } else item.append(press(row.mark, `${row.title}, ${row.when}`, `Open ${row.title} as kept ${row.when}`));
    if (row.earlier.length) {
      const more = doc.createElement("details");
      const head = doc.createElement("summary");
      head.textContent = `${row.earlier.length} earlier`;
      more.append(head, ...row.earlier.map((one) => press(one.mark, one.when, `Open ${row.title} as it was ${one.when}`)));
      item.append(more);
    }
    return item;
  });
  element.replaceChildren(...items);
  element.closest("[data-kept-section]").hidden = items.length === 0;
}
