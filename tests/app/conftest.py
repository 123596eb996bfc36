"""The plain pair as the page's document, and its study, shared by the tests of the page."""

from __future__ import annotations

from typing import Any

import pytest

from lumen.app import commands
from lumen.scenario.document import Scenario
from lumen.scenario.files import examples, load


@pytest.fixture(scope="session")
def plain_pair() -> Scenario:
    """The first example."""
    return load(examples()[0])


@pytest.fixture(scope="session")
def document(plain_pair: Scenario) -> dict[str, Any]:
    """The first example as the page holds it."""
    return commands.document_of(plain_pair)


@pytest.fixture(scope="session")
def found(document: dict[str, Any]) -> commands.Found:
    """Its study."""
    return commands.found(document["plan"])
