"""The command line: ``lumen [open] [FILE]``, ``check``, ``find``, ``sheet``, ``new``, ...

Exit status: 0 done, 1 a caution says stop, 2 input that cannot be read, 3 an error of
the program's own (``LUMEN_DEBUG=1`` in the environment shows where). Results go to standard output,
everything else to standard error.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import traceback
from collections.abc import Sequence
from pathlib import Path

from lumen.errors import LumenError, ScenarioError

__all__ = ["main"]

_COMMANDS = ("open", "check", "find", "sheet", "new", "schema", "rules")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit status."""
    # Answers are many small products: threads that wait for work cost more than they give, and
    # while a hand drags they would take the core that the browser draws with.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    words = list(sys.argv[1:] if arguments is None else arguments)
    if not words or (words[0] not in _COMMANDS and words[0] not in ("-h", "--help")):
        words.insert(0, "open")
    given = _parser().parse_args(words)
    try:
        return int(given.run(given))
    except ScenarioError as error:
        for fault in error.faults:
            print(f"{_where(given)}{fault}", file=sys.stderr)
        return 2
    except (LumenError, OSError) as error:
        print(f"{_where(given)}{error}", file=sys.stderr)
        return 2
    except Exception as error:
        if os.environ.get("LUMEN_DEBUG"):
            traceback.print_exc()
        print(
            f"{_where(given)}something went wrong in lumen itself, not in what you wrote "
            f"({type(error).__name__}: {error}). Nothing was changed; LUMEN_DEBUG=1 shows where.",
            file=sys.stderr,
        )
        return 3


def _where(given: argparse.Namespace) -> str:
    file = getattr(given, "file", None)
    return f"{file}: " if file else ""


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="lumen", description="Plan the light and the power of one bedroom."
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    opened = commands.add_parser("open", help="open the page in a browser (the default)")
    opened.add_argument("file", nargs="?", type=Path, help="a plan; without it, an example room")
    opened.add_argument("--port", type=int, default=8765, help="port on this computer (8765)")
    opened.add_argument("--no-browser", action="store_true", help="do not start a browser")
    opened.set_defaults(run=_open)

    check = commands.add_parser("check", help="print light, load tree and cautions of a plan")
    check.add_argument("file", type=Path)
    check.add_argument("--json", action="store_true", help="as JSON, shape lumen-study/1")
    check.set_defaults(run=_check)

    finder = commands.add_parser("find", help="print plans that meet the wishes of a plan")
    finder.add_argument("file", type=Path)
    finder.add_argument("--json", action="store_true", help="as JSON, shape lumen-find/1")
    finder.add_argument(
        "--keep", action="append", nargs="+", default=[], metavar="ID",
        help="lights and strips that stay as they are (their levels may change)",
    )  # fmt: skip
    finder.add_argument(
        "--allow", action="append", nargs="+", default=[], metavar="ID=PARTS",
        help="what of a light may change: place,lamp,kind, or none of it after the =",
    )  # fmt: skip
    finder.add_argument(
        "--no-drill", action="append", type=int, default=[], metavar="WALL",
        help="number of a wall that gets no new hole",
    )  # fmt: skip
    finder.add_argument(
        "--no-hole",
        dest="areas",
        action="append",
        default=[],
        metavar="WALL,LEFT,RIGHT,LOW,HIGH",
        help="a part of a wall without new holes, metres from its left end and the floor",
    )
    finder.add_argument(
        "--lamps",
        default="",
        metavar="LM,LM@K",
        help="bulbs that are there already, by their boxes",
    )
    finder.add_argument("--cords", default="", metavar="M,M", help="cords that are there already")
    finder.add_argument(
        "--wishes", metavar="SET", help="take a ready set of wishes first, by its name or its key"
    )
    finder.add_argument(
        "--strips", action="store_true", help="also compare how strips behind headboards may run"
    )
    finder.add_argument("--single", action="store_true", help="twins need not stay twins")
    finder.add_argument(
        "--seconds", type=float, default=60.0, help="begin nothing new after so long (60)"
    )
    finder.set_defaults(run=_find)

    sheet = commands.add_parser("sheet", help="write the paper for the wall and the shop, as HTML")
    sheet.add_argument("file", type=Path)
    sheet.add_argument("-o", "--output", type=Path, required=True, help="the HTML file to write")
    sheet.add_argument("--csv", type=Path, metavar="DIR", help="also each list as CSV in here")
    sheet.add_argument(
        "--with",
        dest="include",
        metavar="PARTS",
        default="",
        help="also print, separated by commas: templates, tests, questions, light; or all",
    )
    sheet.add_argument("--paper", choices=("a4", "letter"), help="left out: the region's usual")
    sheet.set_defaults(run=_sheet)

    new = commands.add_parser("new", help="write a small plan to start from")
    new.add_argument("name", help="name of the plan, also of its file")
    new.set_defaults(run=_new)

    schema = commands.add_parser("schema", help="print the JSON Schema of a plan")
    schema.set_defaults(run=_schema)

    rules = commands.add_parser("rules", help="print every caution rule with its source")
    rules.set_defaults(run=_rules)
    return parser


def _print(text: str) -> None:
    """Write a result as UTF-8, whatever the terminal's own alphabet is."""
    out = getattr(sys.stdout, "buffer", None)
    if out is None:  # a stand-in for the terminal takes text as it is
        sys.stdout.write(text)
        return
    sys.stdout.flush()
    out.write(text.encode("utf-8", "backslashreplace"))
    out.flush()


def _open(given: argparse.Namespace) -> int:
    from lumen.scenario.files import examples, load
    from lumen.whatif.live import ahead

    if not 0 <= given.port <= 65535:
        raise LumenError("--port", "must be 0 to 65535", given.port)
    ahead(load(given.file or examples()[0]))  # while the page's own parts are read in
    from lumen.app.server import serve

    serve(given.file, port=given.port, open_browser=not given.no_browser)
    return 0


def _check(given: argparse.Namespace) -> int:
    from lumen.scenario.files import load
    from lumen.study.report import looked_at, report
    from lumen.study.study import study

    plan = load(given.file)
    if given.json:
        result = study(plan)
        _print(json.dumps(result.to_json(), indent=2, ensure_ascii=False, allow_nan=False) + "\n")
    else:
        result = study(plan, only=looked_at(plan))  # what is not printed is not computed
        _print(report(result))
    return result.exit_status


def _find(given: argparse.Namespace) -> int:
    from lumen.find import find
    from lumen.find.report import report
    from lumen.scenario.files import load
    from lumen.study.wishes.sets import with_set

    allow: dict[str, list[str]] = {}
    for text in (part for some in given.allow for part in some):
        name, equals, parts = text.rpartition("=")
        if not equals:
            raise LumenError("--allow", "must be ID=place,lamp,kind (or fewer of them)", text)
        allow[name] = [part for part in parts.split(",") if part]
    plan = load(given.file)
    if given.wishes is not None:
        plan = with_set(plan, given.wishes)
    found = find(
        plan,
        keep=[name for some in given.keep for name in some],
        allow=allow,
        no_drill=given.no_drill,
        pairs=not given.single,
        areas=[_numbers("--no-hole", text) for text in given.areas],
        lamps=[text.strip() for text in given.lamps.split(",") if text.strip()],
        cords_m=_numbers("--cords", given.cords),
        strips=given.strips,
        seconds=given.seconds,
    )
    if given.json:
        print(json.dumps(found.to_json(), indent=2, ensure_ascii=False, allow_nan=False))
    else:
        print(report(found), end="")
    return found.exit_status


def _numbers(name: str, text: str) -> list[float]:
    try:
        return [float(part) for part in text.split(",") if part.strip()]
    except ValueError as error:
        raise LumenError(name, "must be numbers with commas between them", text) from error


def _sheet(given: argparse.Namespace) -> int:
    from lumen.scenario.files import load, write_whole
    from lumen.sheet import PARTS, sheet, write_lists
    from lumen.study.study import study

    _refuse_plan(given.output)
    include = [part.strip() for part in given.include.split(",") if part.strip()]
    include = list(PARTS) if include == ["all"] else include
    for part in include:
        if part not in PARTS:
            raise LumenError("--with", f"must be of {', '.join(PARTS)}, or all", part)
    found = study(load(given.file))
    page = sheet(found, paper=given.paper, include=include)
    write_whole(given.output, page.encode("utf-8"))
    print(given.output)
    if given.csv is not None:
        for path in write_lists(found, given.csv):
            print(path)
    return found.exit_status


def _refuse_plan(output: Path) -> None:
    """Refuse to write a sheet over a plan, whatever it is called."""
    if output.is_dir():
        raise LumenError("--output", "must be a file, not a folder", str(output))
    if not output.is_file():
        return
    held = output.read_bytes().removeprefix(b"\xef\xbb\xbf").lstrip()
    if held.startswith(b"{") and b'"lumen-plan/' in held:
        raise LumenError("--output", "must not be a plan: it would be lost", str(output))


def _new(given: argparse.Namespace) -> int:
    from lumen.scenario.document import identified, parse, plain
    from lumen.scenario.files import examples, load, save

    path = Path(given.name if given.name.endswith(".json") else f"{given.name}.json")
    if path.exists():
        raise LumenError("NAME", "must not be a file that exists already", str(path))
    plain_pair = plain(load(examples()[0]))
    plan = {key: value for key, value in plain_pair.items() if key != "note"}
    save(identified(parse({**plan, "title": path.stem})), path)
    print(path)
    return 0


def _schema(given: argparse.Namespace) -> int:
    from lumen.scenario.document import json_schema

    _print(json.dumps(json_schema(), indent=2) + "\n")
    return 0


def _rules(given: argparse.Namespace) -> int:
    from lumen.words.cautions import rules_text

    _print(rules_text())
    return 0


if __name__ == "__main__":
    sys.exit(main())
