"""The look of pages and drawings: their colours, and the mark that says whose they are.

Nothing is told by colour alone: every mark has its word, and lines and edges differ in kind. So the
page reads the same in grey, in print and to people who see colours differently.
"""

from __future__ import annotations

MARK = "<!-- Headwater report -->"
"""Stands in the first lines of every report and drawing, so that it may be written over."""

INK = "#17252c"
FAINT = "#46545c"
PAPER = "#ffffff"
MIST = "#edf2f0"
DEEP = "#0f4146"
RUST = "#7c2d12"
SAND = "#fbf1e4"
RULE = "#8a979d"

COLOURS = {
    "ink": INK,
    "faint": FAINT,
    "paper": PAPER,
    "mist": MIST,
    "deep": DEEP,
    "rust": RUST,
    "sand": SAND,
    "rule": RULE,
}
"""The colours by the names that the style sheet gives them."""
