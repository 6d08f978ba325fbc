"""A report as one self-contained HTML page: no script, nothing fetched, fit for A4 and Letter."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Callable
from itertools import count

from headwater.render.clean import clean
from headwater.render.fill import fill, ready
from headwater.render.look import COLOURS, MARK
from headwater.render.svg import NARROW, WIDE, draw
from headwater.render.svgchart import draw_chart
from headwater.view.chart import Chart
from headwater.view.paper import Paper, Photograph
from headwater.view.tree import Tree


def page(paper: Paper, *, steps: bool = False) -> str:
    """Return a report as HTML. The policy in its head forbids scripts and fetching altogether.

    With `steps` each section fills a projected screen in large type, with links to the others.
    """
    style = style_sheet()

    values = {
        "mark": ready(MARK),
        "style": ready(style),
        "digest": base64.b64encode(hashlib.sha256(style.encode()).digest()).decode(),
        "paper": paper,
        "drawings": drawings_of(),
        "charts": charts_of(),
        "pictures": _held_here,
    }
    return fill("steps.html" if steps else "report.html", values, clean)


def drawings_of() -> Callable[[Tree], dict[str, str]]:
    """Return what draws the trees of one page, each wide and narrow, with ids of their own."""
    numbers = count(1)

    def drawings(tree: Tree) -> dict[str, str]:
        number = next(numbers)
        widths = {"wide": WIDE, "narrow": NARROW}
        return {k: ready(draw(tree, f"chain-{number}-{k}", width=w)) for k, w in widths.items()}

    return drawings


def charts_of() -> Callable[[Chart], dict[str, str]]:
    """Return what draws the charts of one page, each wide and narrow, with ids of their own."""
    numbers = count(1)

    def charts(chart: Chart) -> dict[str, str]:
        number = next(numbers)
        widths = {"wide": WIDE, "narrow": NARROW}
        return {k: ready(draw_chart(chart, f"chart-{number}-{k}", w)) for k, w in widths.items()}

    return charts


def _held_here(picture: Photograph) -> str:
    """Return a picture as a part of the page itself; nothing where the paper does not hold it."""
    data = base64.b64encode(picture.data).decode()
    return ready(f"data:image/jpeg;base64,{data}") if data else ""


def style_sheet() -> str:
    """Return the style sheet of a page. A rule that sets a colour sets its ground as well."""
    return fill("page.css", {"colours": COLOURS}, str, escaped=True)
