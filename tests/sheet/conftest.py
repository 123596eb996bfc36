"""Fixtures of the sheet's tests."""

from __future__ import annotations

from pathlib import Path

import pytest

from lumen.study.study import Study
from tests.sheet.printing import EXAMPLES, study_of


@pytest.fixture(params=EXAMPLES, ids=lambda path: path.stem)
def any_study(request: pytest.FixtureRequest) -> Study:
    """Each of the project's plans."""
    return study_of(request.param)


@pytest.fixture
def plain() -> Study:
    """The plain pair."""
    return study_of(EXAMPLES[0])


@pytest.fixture(scope="session")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One folder for all that is printed, so that each room is printed once."""
    return tmp_path_factory.mktemp("printed")
