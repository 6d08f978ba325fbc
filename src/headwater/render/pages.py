"""A report as one self-contained HTML page: no script, nothing fetched, fit for A4 and Letter."""

from __future__ import annotations

import base64
import hashlib
from itertools import count

from headwater.render.clean import clean
from headwater.render.fill import fill, ready
from headwater.render.look import COLOURS, MARK
from headwater.render.svg import NARROW, WIDE, draw
from headwater.render.svgchart import draw_chart
from headwater.view.chart import Chart
from headwater.view.paper import Paper
from headwater.view.tree import Tree


def page(paper: Paper) -> str:
    """Return a report as HTML. The policy in its head forbids scripts and fetching altogether."""
    style = style_sheet()
    numbers = count(1)

    def drawings(tree: Tree) -> dict[str, str]:
        number = next(numbers)
        widths = {"wide": WIDE, "narrow": NARROW}
        return {k: ready(draw(tree, f"chain-{number}-{k}", width=w)) for k, w in widths.items()}

    def charts(chart: Chart) -> dict[str, str]:
        number = next(numbers)
        widths = {"wide": WIDE, "narrow": NARROW}
        return {k: ready(draw_chart(chart, f"chart-{number}-{k}", w)) for k, w in widths.items()}

    values = {
        "mark": ready(MARK),
        "style": ready(style),
        "digest": base64.b64encode(hashlib.sha256(style.encode()).digest()).decode(),
        "paper": paper,
        "drawings": drawings,
        "charts": charts,
    }
    return fill("report.html", values, clean)


def style_sheet() -> str:
    """Return the style sheet of a page. A rule that sets a colour sets its ground as well."""
    return fill("page.css", {"colours": COLOURS}, str, escaped=True)
