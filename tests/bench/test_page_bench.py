"""How the page feels, measured in a real browser: first light, a drag, a slider step.

Run on a quiet machine: python -m pytest tests/bench/test_page_bench.py -s -p no:cacheprovider
Nothing here is timed as a test; each figure stands beside another of the same run.
"""

import statistics
import subprocess
import sys
import time

from playwright.sync_api import Browser, Page

import lumen

_BRIDGE = "import(document.getElementById('_dash-renderer').src.replace('begin', 'bridge'))"

_STEP = """async () => {
  const first = document.getElementById("_dash-renderer").src;
  const Relight = await import(first.replace("begin.js", "relight.js"));
  const SOURCES = 12, NU = 80, NV = 50, ROUNDS = 200;
  const map = () => Float32Array.from({ length: NU * NV }, () => 300 * Math.random() ** 4);
  const sources = Array.from({ length: SOURCES }, (_, i) => `light ${i}`);
  const part = () => Object.fromEntries(sources.map((id) => [id, map()]));
  const tint = Object.fromEntries(sources.map((id) => [id, [1.4, 0.95, 0.5]]));
  const wall = { origin_m: [0, 0], size_m: [4, 2.5], nu: NU, nv: NV, reflectance: 0.7, colour: null,
    direct: part(), bounced: part() };
  const ready = Relight.prepare({ sources, tint, grids: { wall } });
  const took = [];
  for (let i = 0; i < ROUNDS; i += 1) {
    const weights = Float32Array.from({ length: SOURCES }, () => Math.random());
    const from = performance.now();
    const rgb = Relight.luminance(ready.grids.wall, weights, ready.tint);
    Relight.pixels(Relight.finer(rgb, NU, NV, 4), 4 * NU, 4 * NV, 25);
    took.push(performance.now() - from);
  }
  return took.sort((a, b) => a - b);
}"""

# What the page itself does at a step: in the event, and in the frame that it asked for.
_SLIDER = """async () => {
  const slider = document.querySelector("[data-lm-levels] input[type=range]");
  const ask = window.requestAnimationFrame;
  let script = 0;
  const timed = (what) => (...args) => {
    const from = performance.now();
    what(...args);
    script += performance.now() - from;
  };
  window.requestAnimationFrame = (what) => ask(timed(what));
  const step = timed(() => slider.dispatchEvent(new Event("input", { bubbles: true })));
  const took = [];
  for (let i = 0; i < 60; i += 1) {
    slider.value = String(20 + i);
    await new Promise((go) => ask(go));
    script = 0;
    step();
    await new Promise((go) => ask(go));
    await new Promise((go) => setTimeout(go, 0));
    took.push(script);
  }
  window.requestAnimationFrame = ask;
  return took.sort((a, b) => a - b);
}"""

_FRAMES = """async () => {
  const frame = () => new Promise((go) => requestAnimationFrame(go));
  const took = [];
  for (let i = 0; i < 40; i += 1) {
    const from = performance.now();
    await frame();
    took.push(performance.now() - from);
  }
  return took.sort((a, b) => a - b);
}"""

_ASK = """async () => {
  const took = [];
  for (let i = 0; i < 60; i += 1) {
    const from = performance.now();
    await (await fetch("alive")).json();
    took.push(performance.now() - from);
  }
  return took.sort((a, b) => a - b);
}"""


def middle_and_late(times: list[float]) -> tuple[float, float]:
    """The median and what 95 % stay under."""
    ordered = sorted(times)
    return statistics.median(ordered), ordered[int(0.95 * len(ordered))]


def drag(page: Page) -> list[float]:
    """Pointer-to-number times [ms] of a light dragged up and down for some seconds."""
    hit = "document.querySelector('.lm-view-frame:not([hidden]) [data-id=\"left light\"] .lm-hit')"
    box = page.evaluate(f"() => {hit}.getBoundingClientRect().toJSON()")
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.evaluate(f"async () => {{ (await {_BRIDGE}).times.length = 0; }}")
    for i in range(90):
        page.mouse.move(x, y - (i if i < 45 else 90 - i))
        page.wait_for_timeout(40)
    times: list[float] = page.evaluate(f"async () => [...(await {_BRIDGE}).times]")
    page.keyboard.press("Escape")
    page.mouse.up()
    return times


def test_page_in_the_browser(browser: Browser) -> None:
    """Prints first light of a fresh process, pointer to number, and what a slider step costs."""
    began = time.perf_counter()
    command = [sys.executable, "-m", "lumen", "open", str(lumen.examples()[0])]
    command += ["--no-browser", "--port", "8797"]
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True) as server:
        try:
            assert server.stderr is not None
            address = server.stderr.readline().split()[4]
            served = time.perf_counter() - began
            page = browser.new_page(viewport={"width": 1440, "height": 900})
            page.set_default_timeout(90_000)
            page.goto(address)
            page.wait_for_selector('[data-id="headboard"]', state="attached")
            drawn = time.perf_counter() - began
            page.wait_for_selector('html[data-busy="no"]', state="attached")
            answered = time.perf_counter() - began
            asked = middle_and_late(page.evaluate(_ASK))
            dragged = middle_and_late(drag(page))
            page.wait_for_selector('html[data-busy="no"]', state="attached")
            step = middle_and_late(page.evaluate(_STEP))
            slider = middle_and_late(page.evaluate(_SLIDER))
            frames = middle_and_late(page.evaluate(_FRAMES))
            page.close()
        finally:
            server.terminate()
    print(
        f"\nfresh process: served after {served:.1f} s, drawn {drawn:.1f} s, lit {answered:.1f} s"
    )
    for name, (half, late) in (
        ("an empty question to the server", asked),
        ("pointer to number on screen, a light dragged", dragged),
        ("script of one step, 4,000 cells x 12 lights", step),
        ("script of a slider step on the page", slider),
        ("a frame with nothing to do", frames),
    ):
        print(f"{name:46} median {half:6.1f} ms, 95 % under {late:6.1f} ms")
    print(f"pointer to number = {dragged[0] / asked[0]:.0f} empty questions")
    assert dragged[0] > asked[0]
