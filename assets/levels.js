/* levels: the sliders of a setup, one for each light and strip, relighting everything in the browser.
 *
 *   fill(element, {plan, study, setup, levels, onSlide(setup, id, value), onSet(setup, id, value)})
 *       levels: what to show instead of the plan's own, while a change is on its way
 *       builds or refreshes the sliders inside element; a slider in the hand is left alone;
 *       a slider shows what the light gives; where something else is asked of it, that stands under its name
 *   quick(plan, study, levels, setup) -> {planes, eyes}: values without bands, from shares at full level
 */
import * as Plan from "./plan.js";
import * as Relight from "./relight.js";

const percent = (value) => `${Math.round(100 * value)} %`;

/**
 * @param {HTMLElement} element
 * @param {{plan: any, study?: any, setup: string, levels?: Record<string, number> | null,
 *   onSlide?: (setup: string, id: string, value: number) => void, onSet?: (setup: string, id: string, value: number) => void}} what
 */
export function fill(element, { plan, study = null, setup, levels: held = null, onSlide, onSet }) {
  const doc = document;
  const levels = held || Relight.levelsOf(plan, setup);
  const items = [...Plan.list(plan, "lights"), ...Plan.list(plan, "strips")];
  const rules = study?.dimming || {};
  const onOff = (item) => item.dims === false || Boolean(rules[item.id] && rules[item.id].on_off);
  const given = (id, level) => Relight.given(rules[id], level);
  const asked = (id, level) => (given(id, level) === level ? "" : `asked ${percent(level)}`);
  const tell = (slider, level) => {
    const row = slider.parentElement, id = slider.dataset.of;
    row.querySelector(".lm-level-value").textContent = percent(given(id, level));
    row.querySelector(".lm-level-asked").textContent = asked(id, level);
  };
  const key = JSON.stringify([setup, items.map((item) => [item.id, item.name, onOff(item), rules[item.id]])]);
  if (element.dataset.lmKey !== key) {
    element.dataset.lmKey = key;
    element.classList.add("lm-levels");
    element.replaceChildren(
      ...items.map((item) => {
        const row = doc.createElement("label");
        row.className = "lm-level";
        const name = doc.createElement("span");
        name.className = "lm-level-name";
        const under = doc.createElement("small");
        under.className = "lm-level-asked";
        name.append(Plan.name(item), under);
        const slider = doc.createElement("input");
        Object.assign(slider, { type: "range", min: "0", max: "100", step: onOff(item) ? "100" : "1" });
        slider.dataset.of = item.id;
        const value = doc.createElement("span");
        value.className = "lm-level-value";
        row.append(name, slider, value);
        slider.addEventListener("input", () => {
          slider.dataset.held = "";
          tell(slider, Number(slider.value) / 100);
          slider.style.setProperty("--lm-at", `${slider.value}%`);
          if (onSlide) onSlide(setup, item.id, Number(slider.value) / 100);
        });
        slider.addEventListener("change", () => {
          delete slider.dataset.held;
          if (onSet) onSet(setup, item.id, Number(slider.value) / 100);
        });
        return row;
      })
    );
  }
  for (const slider of element.querySelectorAll("input")) {
    const of = String(slider.dataset.of);
    if ("held" in slider.dataset) continue;
    const level = levels[of] || 0;
    const words = [percent(given(of, level)), asked(of, level)];
    slider.value = String(Math.round(100 * given(of, level)));
    slider.setAttribute("aria-valuetext", words.filter(Boolean).join(", "));
    slider.style.setProperty("--lm-at", `${slider.value}%`);
    tell(slider, level);
  }
}

export function quick(plan, study, levels, setup) {
  const sum = (entries) =>
    entries
      .filter((entry) => entry.setup === setup)
      .map((entry) => {
        const shares = Relight.fullShares(plan, study, entry.target, setup);
        let lx = 0;
        for (const share of entry.by_source || []) if (share.id.startsWith("screen:")) lx += share.direct_lx + share.bounced_lx;
        for (const [id, asked] of Object.entries(levels)) {
          const level = Relight.given(study.dimming?.[id], asked);
          if (level > 0 && !shares[id]) return null; // never lit in any setup: only the server knows
          if (level > 0) lx += level * (shares[id].direct_lx + shares[id].bounced_lx);
        }
        return { target: entry.target, setup, average_lx: lx };
      })
      .filter(Boolean);
  return { planes: sum(study.planes || []), eyes: sum(study.eyes || []) };
}
