"""The public names: all there, and the package itself light to import."""

import inspect
import subprocess
import sys

import pytest

import lumen
from lumen.study.study import study


def test_public_names_exist():
    """Every name in ``__all__`` can be taken from the package, and no other is promised."""
    for name in lumen.__all__:
        assert callable(getattr(lumen, name))


def test_unknown_name_is_refused():
    """A name that is not public raises AttributeError, not ImportError."""
    assert not hasattr(lumen, "ilumination_at")


def test_check_starts_without_the_page():
    """``lumen check`` imports neither Dash nor Plotly nor pandas: a cold start stays short."""
    code = (
        "import sys, io, contextlib\n"
        "from lumen.command import main\n"
        "import lumen\n"
        "with contextlib.redirect_stdout(io.StringIO()):\n"
        "    main(['check', str(lumen.examples()[0])])\n"
        "print([m for m in ('dash', 'plotly', 'pandas', 'flask') if m in sys.modules])\n"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"


def test_study_takes_what_it_is_documented_to_take():
    """The package that is called and the function behind it have one signature."""
    called = inspect.signature(type(lumen.study).__call__).parameters
    behind = inspect.signature(study).parameters
    assert list(called)[1:] == list(behind)
    plan = lumen.load(lumen.examples()[0])
    rough, full = lumen.study(plan, detail="drag"), lumen.study(plan)
    a, b = (one.lighting.answer("mattress", "read left").average_lx for one in (rough, full))
    assert a == pytest.approx(b, rel=0.07)
    with pytest.raises(lumen.LumenError, match="detail must be one of full, drag"):
        lumen.study(plan, detail="coarse")
