"""A report as Markdown (CommonMark with tables), for a job ticket or a mail."""

from __future__ import annotations

import html
import re

from headwater.render.clean import clean
from headwater.render.fill import fill, ready
from headwater.render.look import MARK
from headwater.render.treetext import tree_text
from headwater.view.paper import Paper
from headwater.view.tree import Tree

DRAWN_WIDTH = 76


def markdown_report(paper: Paper) -> str:
    """Return a report as Markdown."""
    values = {"mark": ready(MARK), "paper": paper, "fenced": _fenced}
    return fill("report.md", values, markdown_text, escaped=True).rstrip("\n") + "\n"


def _fenced(tree: Tree) -> str:
    drawn = tree_text(tree, DRAWN_WIDTH)
    fence = "```"
    while fence in drawn:
        fence += "`"
    return ready(f"{fence}text\n{drawn}\n{fence}")


_SIGNS = re.compile(r"([\\`*_\[\]|~$])")
_AT_START = re.compile(r"^([-+=#:]|\d+(?=[.)](?:\s|$)))")


def markdown_text(text: str) -> str:
    r"""Return text for Markdown (CommonMark and its tables): no sign of it works as markup.

    Bare addresses are broken up as well, for readers that turn them into links by themselves.

    >>> print(markdown_text("[go](http://x.example) <b>*now*</b>"))
    \[go\](http:\//x.example) &lt;b&gt;\*now\*&lt;/b&gt;
    >>> print(markdown_text("1. - # 0.045 in"))
    1\. - # 0.045 in
    """
    safe = html.escape(clean(text), quote=False)
    safe = _SIGNS.sub(r"\\\1", safe)
    safe = safe.replace("://", ":\\//").replace("@", "&#64;")
    safe = re.sub(r"(?i)\bwww\.", lambda m: m.group()[:-1] + "\\.", safe)
    return _AT_START.sub(_defused, safe)


def _defused(match: re.Match[str]) -> str:
    sign = match.group()
    return sign + "\\" if sign[0].isdigit() else "\\" + sign
