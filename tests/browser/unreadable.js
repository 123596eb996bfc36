// Returns what of the text on the page a person cannot read: cut off, outside the window, under other text.
() => {
  const found = new Set();
  const wide = document.documentElement.scrollWidth;
  if (wide > innerWidth + 1) found.add(`the page slides sideways: ${wide} px in ${innerWidth}`);
  const start = (node, letters) => node.textContent.trim().slice(0, letters);
  const say = (node, why) => found.add(`${why}: "${start(node, 40)}" in .${node.parentElement.className || node.parentElement.tagName}`);
  const clips = (element, axis) => {
    const style = getComputedStyle(element);
    return style[axis === "x" ? "overflowX" : "overflowY"];
  };
  const parts = new Map(); // part of the page -> what of its text is in sight
  const nodes = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = nodes.nextNode(); node; node = nodes.nextNode()) {
    const parent = node.parentElement;
    if (!node.textContent.trim() || !parent.checkVisibility({ visibilityProperty: true })) continue;
    if (parent.closest("script, style, noscript, svg, select, .lm-visually-hidden, .lm-skip, .js-plotly-plot")) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const rects = [...range.getClientRects()].filter((r) => r.width > 0.5);
    if (!rects.length) continue;
    const left = Math.min(...rects.map((r) => r.left)), right = Math.max(...rects.map((r) => r.right));
    const top = Math.min(...rects.map((r) => r.top)), bottom = Math.max(...rects.map((r) => r.bottom));
    let scrolledX = false, scrolledY = false, at = parent;
    for (; at && at !== document.documentElement; at = at.parentElement) {
      const x = clips(at, "x"), y = clips(at, "y");
      const box = at.getBoundingClientRect();
      if (!scrolledX && x !== "visible" && (left < box.left - 1 || right > box.right + 1)) {
        if (x === "auto" || x === "scroll") {
          if (!at.matches(".pg-scroll, .lm-setups")) say(node, "slides sideways");
          scrolledX = true;
        } else say(node, "cut off at its side");
      }
      if (!scrolledY && y !== "visible") {
        if (y === "auto" || y === "scroll") scrolledY = true;
        else if (top < box.top - 2 || bottom > box.bottom + 2) say(node, "cut off below");
      }
      if (getComputedStyle(at).position === "fixed") break;
    }
    const part = parent.closest(".lm-drawer, .pg-hand, .lm-answers, .lm-setups, .lm-top");
    if (part && !parent.closest("[inert]")) {
      const shown = { left: -1e5, right: 1e5, top: -1e5, bottom: 1e5 };
      for (let up = parent; up && up !== part.parentElement; up = up.parentElement) {
        if (clips(up, "y") === "visible") continue;
        const box = up.getBoundingClientRect();
        shown.top = Math.max(shown.top, box.top), shown.bottom = Math.min(shown.bottom, box.bottom);
      }
      for (const r of rects) {
        const seen = { node, left: r.left, right: r.right, top: Math.max(r.top, shown.top), bottom: Math.min(r.bottom, shown.bottom) };
        if (seen.bottom > seen.top + 2) parts.set(part, [...(parts.get(part) || []).filter((one) => one.node !== node || one.top !== seen.top), seen]);
      }
    }
    if (!scrolledX && (left < -1 || right > innerWidth + 1)) say(node, "outside the window");
  }
  for (const [part, seen] of parts) {
    for (let i = 0; i < seen.length; i++) for (let j = 0; j < i; j++) {
      const [a, b] = [seen[i], seen[j]];
      const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
      const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
      if (a.node !== b.node && wide > 3 && high > 4) say(a.node, `lies over "${start(b.node, 20)}"`);
    }
  }
  for (const input of document.querySelectorAll("textarea, #title")) {
    if (input.checkVisibility() && (input.scrollWidth > input.clientWidth + 1 || input.scrollHeight > input.clientHeight + 4)) {
      found.add(`cut off in a field: ${input.value.slice(0, 40)}`);
    }
  }
  return [...found];
}
