"""Numbers as people say them: about how much, between what, no more digits than are known."""

from lumen.study.words import about, amount, amperes, watts

__all__ = ["about", "amount", "amperes", "watts"]
