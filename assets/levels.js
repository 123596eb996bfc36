/* lumen.levels: the sliders of a setup, one for each light and strip, relighting everything in the browser.
 *
 *   lumen.levels.fill(element, {plan, study, setup, levels, onSlide(setup, id, value), onSet(setup, id, value)})
 *       levels: what to show instead of the plan's own, while a change is on its way
 *       builds or refreshes the sliders inside element; a slider in the hand is left alone;
 *       a level that the light cannot give is shown with what it gives instead, by the study's rules
 *   lumen.levels.quick(plan, study, levels, setup) -> {planes, eyes}: values without bands, from shares at full level
 */
(function (root) {
  "use strict";
  const lumen = (root.lumen = root.lumen || {});

  const percent = (value) => `${Math.round(100 * value)} %`;

  function fill(element, { plan, study = null, setup, levels: held = null, onSlide, onSet }) {
    const doc = root.document;
    const levels = held || lumen.relight.levelsOf(plan, setup);
    const items = [...lumen.plan.list(plan, "lights"), ...lumen.plan.list(plan, "strips")];
    const rules = (study && study.dimming) || {};
    const onOff = (item) => item.dims === false || Boolean(rules[item.id] && rules[item.id].on_off);
    const text = (id, level) => {
      const given = lumen.relight.given(rules[id], level);
      return given === level ? percent(level) : `${percent(given)}, asked ${percent(level)}`;
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
          name.textContent = lumen.plan.name(item);
          const slider = doc.createElement("input");
          Object.assign(slider, { type: "range", min: "0", max: "100", step: onOff(item) ? "100" : "1" });
          slider.dataset.of = item.id;
          const value = doc.createElement("span");
          value.className = "lm-level-value";
          row.append(name, slider, value);
          slider.addEventListener("input", () => {
            slider.dataset.held = "";
            value.textContent = text(item.id, slider.value / 100);
            slider.style.setProperty("--lm-at", `${slider.value}%`);
            if (onSlide) onSlide(setup, item.id, slider.value / 100);
          });
          slider.addEventListener("change", () => {
            delete slider.dataset.held;
            if (onSet) onSet(setup, item.id, slider.value / 100);
          });
          return row;
        })
      );
    }
    for (const slider of element.querySelectorAll("input")) {
      if ("held" in slider.dataset) continue;
      const level = levels[slider.dataset.of] || 0;
      slider.value = String(Math.round(100 * lumen.relight.given(rules[slider.dataset.of], level)));
      slider.setAttribute("aria-valuetext", text(slider.dataset.of, level));
      slider.style.setProperty("--lm-at", `${slider.value}%`);
      slider.parentElement.querySelector(".lm-level-value").textContent = text(slider.dataset.of, level);
    }
  }

  function quick(plan, study, levels, setup) {
    const sum = (entries) =>
      entries
        .filter((entry) => entry.setup === setup)
        .map((entry) => {
          const shares = lumen.relight.fullShares(plan, study, entry.target, setup);
          let lx = 0;
          for (const share of entry.by_source || []) if (share.id.startsWith("screen:")) lx += share.direct_lx + share.bounced_lx;
          for (const [id, asked] of Object.entries(levels)) {
            const level = lumen.relight.given((study.dimming || {})[id], asked);
            if (level > 0 && !shares[id]) return null; // never lit in any setup: only the server knows
            if (level > 0) lx += level * (shares[id].direct_lx + shares[id].bounced_lx);
          }
          return { target: entry.target, setup, average_lx: lx };
        })
        .filter(Boolean);
    return { planes: sum(study.planes || []), eyes: sum(study.eyes || []) };
  }

  lumen.levels = { fill, quick };
})(typeof window === "undefined" ? globalThis : window);
