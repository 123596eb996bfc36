"""A long session of random gestures with undo and redo: no leak, no word in the console.

The normal run makes 15 gestures, `-m long` as many as ``LUMEN_GESTURES`` says, or 5,000.
"""

from __future__ import annotations

import json
import os
import random

import pytest

from lumen.app import commands
from lumen.scenario.document import dump, parse

from .driver import Page

pytestmark = pytest.mark.browser

_WATCH = """() => {
  const first = JSON.parse(JSON.stringify(lumen.store.now.document));
  const send = window.dash_clientside.set_props;
  window.sent = [];
  window.dash_clientside.set_props = (id, props) => {
    if (id === "command") window.sent.push(JSON.parse(JSON.stringify(props.data)));
    return send(id, props);
  };
  return first;
}"""


@pytest.mark.parametrize(
    "gestures",
    [15, pytest.param(int(os.environ.get("LUMEN_GESTURES", "5000")), marks=pytest.mark.long)],
)
def test_the_file_is_a_replay_of_the_commands(page: Page, gestures: int) -> None:
    """Drags, arrow keys, undo and redo in any order: the plan is that of its commands alone."""
    draw = random.Random(gestures)
    document = page.tab.evaluate(_WATCH)
    lights = [light["id"] for light in page.plan["lights"]]
    session = page.context.new_cdp_session(page.tab)
    used: list[float] = []
    for number in range(gestures):
        name, what = draw.choice(lights), draw.randrange(5)
        if what == 0:
            up, right = draw.uniform(-0.1, 0.1), draw.uniform(-0.05, 0.05)
            page.drag(name, up_m=up, right_m=right, hold=True)
            page.tab.mouse.up()
        elif what in (1, 2):
            press = '.lm-top [data-act="undo"]' if what == 1 else '.lm-top [data-act="redo"]'
            if page.tab.locator(press).is_enabled():
                page.tab.locator(press).click()
        else:
            page.take(name)
            page.tab.keyboard.press(draw.choice(("ArrowUp", "ArrowDown")))
        page.answer()
        if number % max(1, gestures // 8) == 0:
            page.settle()
            session.send("HeapProfiler.collectGarbage")
            used.append(session.send("Runtime.getHeapUsage")["usedSize"] / 1e6)
    page.settle()
    print(gestures, "gestures, heap [MB]:", [round(one, 1) for one in used])
    sent = page.tab.evaluate("() => window.sent")
    assert len(sent) > gestures / 3
    for command in sent:
        document = commands.run(document, command).document or document
    assert dump(parse(page.plan)) == dump(parse(json.loads(json.dumps(document["plan"]))))
    if gestures >= 200:  # the steps that undo keeps are 100 at most: from then on it is flat
        assert used[-1] < 1.3 * used[len(used) // 2], used
