"""The look of pages and drawings: their colours, and the mark that says whose they are.

Nothing is told by colour alone: every mark has its word, and lines and edges differ in kind. So the
page reads the same in grey, in print and to people who see colours differently.
"""

from __future__ import annotations

MARK = "<!-- Headwater report -->"
"""Stands in the first lines of every report and drawing, so that it may be written over."""

COLOURS = {
    "ink": "#17252c",
    "faint": "#46545c",
    "paper": "#ffffff",
    "mist": "#edf2f0",
    "deep": "#0f4146",
    "rust": "#7c2d12",
    "sand": "#fbf1e4",
    "rule": "#8a979d",
}
"""The colours by the names that style sheet and drawings give them."""

DARK = {
    "ink": "#e6ecea",
    "faint": "#aebbb9",
    "paper": "#10191d",
    "mist": "#1d2a2f",
    "deep": "#8fd0c8",
    "rust": "#f2a98c",
    "sand": "#33261a",
    "rule": "#71828a",
}
"""The same on a dark ground, for the pages of the house; paper is always light."""
