"""It runs where it is put: without a home, in a home that takes nothing, in a plain locale."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

from lumen.scenario.files import examples

PLAIN = str(examples()[0])


def _environment(kind: str, tmp_path: Path) -> dict[str, str]:
    kept = {
        k: os.environ[k] for k in ("PATH", "PYTHONPATH", "OPENBLAS_CORETYPE") if k in os.environ
    }
    if kind == "no home":
        return kept
    if kind == "plain locale":
        return {**kept, "HOME": str(tmp_path), "LC_ALL": "C", "PYTHONUTF8": "0"}
    assert kind == "home takes nothing"
    (tmp_path / "home").write_text("a file, so that not even root can make a folder in it")
    return {**kept, "HOME": str(tmp_path / "home")}


KINDS = pytest.mark.parametrize("kind", ["no home", "plain locale", "home takes nothing"])


@KINDS
def test_check_runs_without_a_warning(kind: str, tmp_path: Path) -> None:
    """Warnings are errors here, and nothing but the result is said."""
    done = subprocess.run(
        [sys.executable, "-W", "error", "-m", "lumen", "check", PLAIN, "--json"],
        env=_environment(kind, tmp_path),
        cwd=tmp_path,
        capture_output=True,
        check=False,
    )
    assert done.returncode in (0, 1), done.stderr.decode()
    assert done.stderr == b""
    assert json.loads(done.stdout.decode("utf-8"))["format"] == "lumen-study/1"


@KINDS
def test_the_page_is_served(kind: str, tmp_path: Path) -> None:
    """The page comes up and says its address, and nothing else."""
    with subprocess.Popen(
        [sys.executable, "-m", "lumen", "open", "--no-browser", "--port", "0"],
        env=_environment(kind, tmp_path),
        cwd=tmp_path,
        stderr=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as server:
        assert server.stderr is not None
        try:
            said = server.stderr.readline()
            assert said.startswith("The page is at http://127.0.0.1:"), said
            address = said.split()[4]
            with urllib.request.urlopen(f"{address}alive", timeout=120) as answer:
                assert json.load(answer) == {"alive": "lumen", "file": ""}
            with urllib.request.urlopen(address, timeout=120) as answer:
                assert b"lumen" in answer.read()
        finally:
            server.terminate()
        assert server.stderr.read() == ""
