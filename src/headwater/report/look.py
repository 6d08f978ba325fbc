"""The look of pages and drawings: their colours, each with the ground it stands on.

Nothing is told by colour alone: every mark has its word, and lines and edges differ in kind. So the
page reads the same in grey, in print and to people who see colours differently.
"""

from __future__ import annotations

INK = "#17252c"
FAINT = "#46545c"
PAPER = "#ffffff"
MIST = "#edf2f0"
DEEP = "#0f4146"
RUST = "#7c2d12"
SAND = "#fbf1e4"
RULE = "#8a979d"

PAIRS: tuple[tuple[str, str], ...] = (
    (INK, PAPER),
    (INK, MIST),
    (INK, SAND),
    (FAINT, PAPER),
    (FAINT, MIST),
    (DEEP, PAPER),
    (PAPER, DEEP),
    (RUST, PAPER),
    (RUST, SAND),
    (PAPER, RUST),
)
"""Every writing colour with every ground that it is used on."""


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours written '#rrggbb'.

    WCAG 2.1, 'contrast ratio' and 'relative luminance'; the text of the formula is from memory.

    >>> round(contrast("#000000", "#ffffff"), 1)
    21.0
    """
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
