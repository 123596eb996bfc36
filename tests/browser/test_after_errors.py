"""One page, one server, unlike rooms: nothing that goes wrong stops the commands after it.

The light is not reckoned here: what is looked at is the plan, the forms and what is saved.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Route

from lumen.app import commands, typed
from lumen.scenario.document import Scenario, dump, parse, plain
from lumen.scenario.files import load

from .conftest import ROOMS, Server
from .driver import Page

pytestmark = pytest.mark.browser

_EXPLODE = "explode"
_KINDS = ("length", "number", "choice", "flag", "reference", "colour", "text", "choices")


@pytest.fixture(scope="module")
def unlit_server() -> Iterator[Server]:
    """A server that reckons no light, and whose writer breaks on one certain text."""
    command_of = typed.command_of

    def breaks(scenario: Scenario, name: str, args: Mapping[str, Any]) -> dict[str, Any]:
        if args.get("text") == _EXPLODE:
            raise RuntimeError(_EXPLODE)
        return command_of(scenario, name, args)

    def unlit(scenario: Scenario) -> commands.Found:
        return commands.Found(scenario, None, trouble="Not reckoned in this test.")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(typed, "command_of", breaks)
        patch.setattr(commands, "_reckoned", unlit)
        server = Server()
        yield server
        server.stop()


_TAKE = """([name]) => {
  dash_clientside.set_props("selection", { data: [name] });
  lumen.store.set({ selection: [name] });
}"""

_TYPE = """async ([path, text]) => {
  const all = () => [...document.querySelectorAll("#thing .lm-field")];
  const found = () => all().find((each) => each.dataset.field === path);
  const moment = () => new Promise((done) => setTimeout(done, 50));
  for (let tries = 0; !found() && tries < 100; tries += 1) await moment();
  const field = found(); // the form may just be written anew
  if (!field) return null; // what was typed before took this field away
  const input = field.querySelector("input, select");
  const boxes = [...field.querySelectorAll("[type=checkbox]")];
  for (const box of boxes) box.checked = text.split(", ").includes(box.value);
  if (!boxes.length) input.value = text;
  input.dispatchEvent(new Event("change", { bubbles: true }));
  if (!(await lumen.bridge.whenEmpty(180000))) throw new Error("the queue is stuck");
  await moment(); // a promise that is kept amid the page's work may be lost to the test
  return field.querySelector(".lm-fault").textContent;
}"""

_FIELDS = """() => [...document.querySelectorAll("#thing .lm-field")].flatMap((field) => {
  const input = field.querySelector("input, select");
  if (!input) return [];
  const kind = field.className.match(/is-(\\w+)/)[1];
  const boxes = [...field.querySelectorAll("[type=checkbox]")];
  const options = [...(input.options || boxes)].map((option) => option.value);
  const ticked = boxes.filter((box) => box.checked).map((box) => box.value).join(", ");
  return { path: field.dataset.field, kind, text: boxes.length ? ticked : input.value, options };
})"""


def _another(field: Mapping[str, Any]) -> str | None:
    """A value that the field does not hold, or None when there is no other one."""
    kind, text = field["kind"], field["text"]
    if kind in ("choice", "flag", "reference"):
        return next((one for one in field["options"] if one not in ("", text)), None)
    if kind == "length":
        return f"{float(text.split(' ')[0]) + 1} cm" if text.endswith(" cm") else None
    if kind == "number":
        return str(float(text) + 1) if text.replace(".", "").isdigit() else None
    if kind == "choices":
        return next(word for word in field["options"] if word != text)
    return {"colour": "slate blue", "text": "Anna's own 12"}[kind]


def _command(page: Page, command: dict[str, Any]) -> None:
    page.tab.evaluate("(command) => lumen.page.send(command)", command)
    page.answer()


def _hears(page: Page, words: str) -> None:
    """Wait until the page says something in passing."""
    page.tab.locator("#toast", has_text=words).wait_for()


def _rename(page: Page, to: str) -> None:
    title = page.tab.locator("#title")
    title.fill(to)
    title.press("Tab")
    page.answer()


def _edit_every_kind(page: Page, plan: dict[str, Any]) -> None:
    """Edit one field of each kind that the room's things have, through the form."""
    left = set(_KINDS)
    sections = ("lights", "strips", "supply", "furniture", "people")
    for name in [item["id"] for section in sections for item in plan.get(section, [])]:
        page.tab.evaluate(_TAKE, [name])
        page.tab.wait_for_selector(f'#thing [data-id="{name}"]', state="attached")
        for field in page.tab.evaluate(_FIELDS):
            if field["kind"] not in left or (text := _another(field)) is None:
                continue
            page.settle()
            was = page.plan
            refused = page.tab.evaluate(_TYPE, [field["path"], text])
            if refused is None:
                continue
            if refused:  # this room may have no place for it: then the field says why
                assert page.plan == was
                page.tab.evaluate(_TYPE, [field["path"], field["text"]])
                continue
            assert page.plan != was, (name, field)
            left.remove(field["kind"])
        if not left:
            return
    assert left <= {"choices", "colour"}, left


@pytest.mark.parametrize("file", ROOMS)
def test_after_an_error_the_next_command_goes_through_and_is_saved(
    file: Path, unlit_server: Server, opened_once: Page
) -> None:
    """A new plan name, each kind of field, a writer that breaks, one more name: all of it saved."""
    page = opened_once
    _command(page, {"name": "replace", "args": {"plan": plain(load(file))}})
    _rename(page, "Our room")
    assert page.plan["title"] == "Our room"
    page.tab.evaluate("() => lumen.page.open('thing')")
    _edit_every_kind(page, page.plan)
    kept = page.plan

    _rename(page, _EXPLODE)
    _hears(page, commands.BROKEN)
    assert page.plan == kept
    saved = json.loads(page.save().read_text("utf-8"))
    assert saved["title"] == "Our room"
    _hears(page, "Not in it, because it was refused: Name of the plan")

    _rename(page, "After the error")
    text = page.save().read_text("utf-8")
    page.tab.wait_for_function(
        "() => document.getElementById('toast').textContent === 'Saved as one small file.'"
    )
    assert json.loads(text) == {**kept, "title": "After the error"}
    assert text == dump(parse(json.loads(text)))


@pytest.fixture(scope="module")
def opened_once(
    browser: Any, unlit_server: Server, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Page]:
    """One page for all rooms; its console stays empty but for what a test takes off it."""
    context = browser.new_context(viewport={"width": 1440, "height": 900}, accept_downloads=True)
    page = Page(context, unlit_server.address, tmp_path_factory.mktemp("saved"))
    yield page
    page.close()
    assert page.console == []


def _writer(act: Callable[[Route], None]) -> Callable[[Route], None]:
    """Do something to the requests that carry a command, and leave the page's others alone."""

    def handle(route: Route) -> None:
        if "answered.data" in (route.request.post_data or "")[:120]:
            act(route)
        else:
            route.continue_()

    return handle


def test_an_answer_that_is_no_answer_drops_the_command_and_says_so(opened_once: Page) -> None:
    """The server answers a command with an error page: dropped, said, and the next one goes."""
    page = opened_once
    _rename(page, "Before")
    page.tab.route(
        "**/_dash-update-component*", _writer(lambda route: route.fulfill(status=500, body="?"))
    )
    _rename(page, "Lost on the way")
    _hears(page, "could not do this, so it was left out")
    page.tab.unroute("**/_dash-update-component*")
    assert page.plan["title"] == "Before"
    _rename(page, "Next")
    assert page.plan["title"] == "Next"
    page.console.clear()  # the browser tells of the error page


def test_a_cut_connection_is_tried_again_and_nothing_is_lost(opened_once: Page) -> None:
    """The first connection is cut, the server lives: the command is sent again by itself."""
    page = opened_once
    _rename(page, "Before")
    cut: list[str] = []

    def once(route: Route) -> None:
        if cut:
            route.continue_()
        else:
            cut.append("cut")
            route.abort("connectionreset")

    page.tab.route("**/_dash-update-component*", _writer(once))
    _rename(page, "Sent twice")
    page.tab.unroute("**/_dash-update-component*")
    assert cut == ["cut"]
    assert page.plan["title"] == "Sent twice"
    page.console.clear()
