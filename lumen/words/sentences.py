"""Sentences by key: tables of templates, and the place where another language steps in."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar

__all__ = ["Sentences", "Translator", "capital", "translated"]

Translator = Callable[[str, str, Mapping[str, object]], str]
"""From a sentence's key, its template and its facts to what is said instead."""

_translator: ContextVar[Translator | None] = ContextVar("translator", default=None)


class Sentences:
    """The sentences of one subject, as templates by key.

    Examples
    --------
    >>> say = Sentences("glow", {"board": "along the top of the {board}"})
    >>> say("board", board="headboard")
    'along the top of the headboard'
    >>> with translated(lambda key, template, facts: key):
    ...     say("board", board="headboard")
    'glow.board'
    """

    def __init__(self, subject: str, templates: Mapping[str, str]) -> None:
        self.subject = subject
        self.templates = dict(templates)

    def __call__(self, key: str, **facts: object) -> str:
        """Return a sentence with its facts filled in.

        Raises
        ------
        KeyError
            When the table has no such key, or a fact of its template is not given.
        """
        template, translator = self.templates[key], _translator.get()
        if translator is not None:
            return translator(f"{self.subject}.{key}", template, facts)
        return template.format(**facts)


@contextmanager
def translated(translator: Translator) -> Iterator[None]:
    """Have every sentence said by ``translator`` inside the ``with`` block, in this thread."""
    token = _translator.set(translator)
    try:
        yield
    finally:
        _translator.reset(token)


def capital(words: str) -> str:
    """Return words with a capital letter at their head.

    Examples
    --------
    >>> capital("from the door")
    'From the door'
    """
    return words[:1].upper() + words[1:]
