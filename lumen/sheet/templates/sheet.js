(() => {
  // Checks stay, by plan and step, where the browser lets a file keep something.
  const page = document.documentElement;
  const key = `lumen sheet ${page.dataset.plan}`;
  /** @type {NodeListOf<HTMLInputElement>} */
  const found = document.querySelectorAll("input[data-step]");
  const boxes = [...found];
  const next = /** @type {HTMLElement} */ (document.querySelector(".next"));
  const LARGER = ["roomiest", "roomier", "roomy"];
  let done = {};
  try { done = JSON.parse(localStorage.getItem(key) || "{}") || {}; } catch { done = {}; }
  const show = () => {
    const first = boxes.find((box) => !box.checked && box.closest("section")?.offsetParent);
    next.hidden = !first;
    if (first) {
      const link = /** @type {HTMLAnchorElement} */ (next.querySelector("a"));
      const words = (first.closest("label")?.textContent || "").trim().replace(/\s+/g, " ");
      link.textContent = words.length > 90 ? `${words.slice(0, 88)}…` : words;
      link.href = `#${first.id}`;
    }
  };
  // A section a little longer than its page is set a little smaller; one that would leave a page
  // almost empty lets the next begin there; what leaves much of a page white is set larger.
  // Widths are those of paper on any screen but a phone's.
  const fit = () => {
    if (window.innerWidth < 720) return;
    const mm = 96 / 25.4, high = Number(page.dataset.pageMm) * mm;
    const tall = (section) => {
      const style = getComputedStyle(section);
      const extra = parseFloat(style.paddingBottom) + parseFloat(style.borderBottomWidth);
      return section.getBoundingClientRect().height - extra;
    };
    let used = 0;
    /** @type {{sections: HTMLElement[], need: number}[]} */
    const pages = [];
    /** @type {NodeListOf<HTMLElement>} */
    const sections = document.querySelectorAll("main > section");
    for (const section of sections) {
      section.classList.remove("tight", "tighter", "flow", ...LARGER);
      if (!section.offsetParent) continue;
      let need = tall(section);
      const over = need % high;
      if (need > high && over < 0.13 * high && !section.matches(".of-templates")) {
        for (const size of ["tight", "tighter"]) {
          if (need > high) section.classList.add(size);
          need = tall(section);
        }
      }
      const room = high - used, plain = section.matches(".plain");
      const joins = used > 0 && (used < 0.3 * high || plain) && need + 4 * mm < room;
      const first = section.querySelector(".picture");
      const head = first
        ? first.getBoundingClientRect().bottom - section.getBoundingClientRect().top
        : 30 * mm;
      const runs = used > 0 && used < 0.3 * high && head + 8 * mm < room;
      if (joins || runs) {
        section.classList.add("flow");
        used += need + 4 * mm;
        pages[pages.length - 1].sections.push(section);
      } else {
        used = need;
        pages.push({ sections: [section], need: 0 });
      }
      pages[pages.length - 1].need += need + 4 * mm;
      used %= high;
    }
    for (const { sections: alone, need } of pages) {
      if (need > high || alone.some((section) => section.matches(".of-templates"))) continue;
      for (const size of LARGER) {
        for (const section of alone) section.classList.add(size);
        if (alone.reduce((sum, section) => sum + tall(section) + 4 * mm, 0) < 0.95 * high) break;
        for (const section of alone) section.classList.remove(size);
      }
    }
  };
  for (const box of boxes) {
    box.checked = Boolean(done[box.id]);
    box.addEventListener("change", () => {
      done[box.id] = box.checked;
      try { localStorage.setItem(key, JSON.stringify(done)); } catch { /* kept while it is open */ }
      show();
    });
  }
  for (const box of document.querySelectorAll(".choice input")) {
    box.addEventListener("change", () => { show(); fit(); });
  }
  show();
  fit();
})();
