"""A drawing in millimetres: lines, boxes, circles and text as one SVG that prints at its size.

Everything is black or grey, told apart by line and hatch and not by colour. All text is escaped.
"""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup, escape

from lumen.sheet.figures import Figure, length_words

__all__ = ["MARK_COLOUR", "Drawing", "text_width"]

MARK_COLOUR = "#a00000"
"""Dots of drill marks: dark red, which prints dark grey in black and white. Nothing else has it."""

_TEXT_MM = 2.7  # 7.6 point
_WIDE, _WIDE_BOLD = 0.58, 0.66  # of a letter against its size, in the widest of the fonts asked for


def text_width(words: str, size: float, *, bold: bool = False) -> float:
    """Return about how wide a line of text is [mm], rather too wide than too narrow.

    Examples
    --------
    >>> text_width("1220 mm", 2.5)
    10.15
    """
    return len(words) * size * (_WIDE_BOLD if bold else _WIDE)


class Drawing:
    """A drawing ``width`` x ``height`` millimetres; y grows downward.

    Examples
    --------
    >>> picture = Drawing(100.0, 20.0, "A ruler")
    >>> picture.line(0, 10, 100, 10)
    >>> 'width="100mm"' in str(picture.svg())
    True
    """

    def __init__(self, width: float, height: float, title: str, style: str = "drawing") -> None:
        self.width, self.height, self.title, self.style = width, height, title, style
        self._parts: list[Markup] = []

    def svg(self) -> Markup:
        """Return the drawing as markup."""
        return Markup(
            '<svg xmlns="http://www.w3.org/2000/svg" class="{}" role="img" aria-label="{}" '
            'width="{:.6g}mm" height="{:.6g}mm" viewBox="0 0 {:.6g} {:.6g}">{}{}</svg>'
        ).format(
            self.style,
            self.title,
            self.width,
            self.height,
            self.width,
            self.height,
            _PATTERNS,
            Markup("\n").join(self._parts),
        )

    def line(
        self, x0: float, y0: float, x1: float, y1: float, weight: float = 0.25, dash: str = ""
    ) -> None:
        """Draw a line; ``dash`` as in SVG, in millimetres."""
        self.path([(x0, y0), (x1, y1)], weight, dash)

    def path(
        self,
        points: Sequence[tuple[float, float]],
        weight: float = 0.25,
        dash: str = "",
        *,
        grey: bool = False,
        closed: bool = False,
    ) -> None:
        """Draw a line through points."""
        way = " ".join(f"{x:.4f},{y:.4f}" for x, y in points)
        self._parts.append(
            Markup(
                '<{} points="{}" fill="none" stroke="{}" stroke-width="{}" stroke-dasharray="{}"/>'
            ).format(
                Markup("polygon" if closed else "polyline"),
                way,
                "#666" if grey else "#000",
                weight,
                dash or "none",
            )
        )

    def box(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        weight: float = 0.25,
        fill: str = "none",
        *,
        grey: bool = False,
        dash: str = "",
        clip: str | None = None,
    ) -> None:
        """Draw a rectangle; ``fill`` may be ``url(#up)`` or ``url(#level)`` for a hatch.

        ``clip`` names an outline of :meth:`clip` beyond which nothing of it is drawn.
        """
        cut = Markup("") if clip is None else Markup(' clip-path="url(#{})"').format(clip)
        self._parts.append(
            Markup(
                '<rect x="{:.4f}" y="{:.4f}" width="{:.4f}" height="{:.4f}" fill="{}" '
                'stroke="{}" stroke-width="{}" stroke-dasharray="{}"{}/>'
            ).format(
                x, y, width, height, fill, "#666" if grey else "#000", weight, dash or "none", cut
            )
        )

    def clip(self, name: str, points: Sequence[tuple[float, float]]) -> None:
        """Enter an outline by name, to which later boxes can be cut."""
        way = " ".join(f"{x:.4f},{y:.4f}" for x, y in points)
        self._parts.append(
            Markup('<clipPath id="{}"><polygon points="{}"/></clipPath>').format(name, way)
        )

    def circle(
        self,
        x: float,
        y: float,
        radius: float,
        weight: float = 0.25,
        fill: str = "none",
        dash: str = "",
    ) -> None:
        """Draw a circle."""
        self._parts.append(
            Markup(
                '<circle cx="{:.4f}" cy="{:.4f}" r="{:.4f}" fill="{}" stroke="#000" '
                'stroke-width="{}" stroke-dasharray="{}"/>'
            ).format(x, y, radius, fill, weight, dash or "none")
        )

    def mark(self, x: float, y: float, arm: float = 2.2, *, drilled: bool = True) -> None:
        """Draw a mark: a cross in a ring, with a dot at its middle where the wall is drilled."""
        self.line(x - arm, y, x + arm, y, 0.2)
        self.line(x, y - arm, x, y + arm, 0.2)
        self.circle(x, y, arm * 0.62, 0.25)
        if not drilled:
            return
        self._parts.append(
            Markup('<circle cx="{:.4f}" cy="{:.4f}" r="0.55" fill="{}"/>').format(x, y, MARK_COLOUR)
        )

    def text(
        self,
        x: float,
        y: float,
        words: str,
        *,
        size: float = _TEXT_MM,
        anchor: str = "middle",
        bold: bool = False,
        turned: bool = False,
        figure: Figure | None = None,
    ) -> None:
        """Write one line of text; ``figure`` lets it carry the value that it shows."""
        held = Markup("")
        if figure is not None:
            held = Markup(' data-value="{}" data-{}="{}"').format(
                repr(float(figure)), Markup(figure.root), figure.path
            )
        turn = Markup(' transform="rotate(-90 {:.4f} {:.4f})"').format(x, y) if turned else ""
        self._parts.append(
            Markup(
                '<text x="{:.4f}" y="{:.4f}" font-size="{}" text-anchor="{}" font-weight="{}"{}{}>'
                "{}</text>"
            ).format(x, y, size, anchor, "bold" if bold else "normal", held, turn, escape(words))
        )

    def measure_level(self, x0: float, x1: float, y: float, figure: Figure) -> None:
        """Draw a level dimension from ``x0`` to ``x1`` with its length."""
        x0, x1 = min(x0, x1), max(x0, x1)
        self._ends([(x0, y), (x1, y)])
        words = length_words(abs(float(figure)), figure.units)
        self.text((x0 + x1) / 2, y - 0.8, words, size=2.5, figure=figure)

    def measure_upright(
        self, y0: float, y1: float, x: float, figure: Figure, *, text_left: bool
    ) -> None:
        """Draw an upright dimension from ``y0`` to ``y1``, its length beside it."""
        self._ends([(x, y0), (x, y1)])
        words = length_words(float(figure), figure.units)
        # what is lower than its text is long keeps the text above its lower end
        at = x - 0.9 if text_left else x + 3.0
        middle = min((y0 + y1) / 2, max(y0, y1) - text_width(words, 2.5) / 2)
        self.text(at, middle, words, size=2.5, turned=True, figure=figure)

    def _ends(self, points: Sequence[tuple[float, float]]) -> None:
        """A thin line with a slash at either end."""
        self.path(points, 0.18)
        for x, y in points:
            self.line(x - 0.8, y + 0.8, x + 0.8, y - 0.8, 0.35)

    def ruler(self, x: float, y: float) -> None:
        """Draw 100 mm and 4 inches to check the printer by."""
        for length, count, unit, at in ((100.0, 10, "100 mm", y), (101.6, 4, "4 in", y + 9.0)):
            self._parts.append(
                Markup(
                    '<rect x="{:.4f}" y="{:.4f}" width="{:.4f}" height="0.5" fill="#000"/>'
                ).format(x, at, length)
            )
            for i in range(count + 1):
                tick = 2.6 if i in (0, count) else 1.8
                at_x = x + length * i / count
                self.line(at_x, at, at_x, at - tick, 0.15)
            self.text(x + length + 2.5, at + 0.5, unit, anchor="start")


_PATTERNS = Markup(
    '<defs><pattern id="up" width="2" height="2" patternUnits="userSpaceOnUse" '
    'patternTransform="rotate(45)"><line x1="0" y1="0" x2="0" y2="2" stroke="#000" '
    'stroke-width="0.12"/></pattern><pattern id="level" width="2" height="2" '
    'patternUnits="userSpaceOnUse" patternTransform="rotate(-45)"><line x1="0" y1="0" x2="0" '
    'y2="2" stroke="#000" stroke-width="0.12"/></pattern></defs>'
)
