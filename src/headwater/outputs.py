"""Every output of the program, in one table: what it is made from, and how it is written.

A front end shows nothing of a case but what stands here. The attacks on the gate walk this table,
so an output that is added is attacked without being named in a test. A new one is a view (`view`),
and a line below; JSON, its schema, pages and terminal lines follow from the view.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, get_type_hints

from headwater.drill import debrief, order, walk
from headwater.render.data import as_csv, as_json, schema_of
from headwater.render.line import Line
from headwater.render.terminal import paper_lines
from headwater.view import (
    asking,
    audit,
    book,
    call,
    case,
    options,
    owner,
    plan,
    shop,
    tables,
    trace,
    verdict,
)
from headwater.view.paper import Paper
from headwater.view.tables import Rows
from headwater.view.tree import Tree


@dataclass(frozen=True, slots=True)
class Output:
    """One output: `paper` makes what people read, `record` what programs read.

    `table` makes rows for a spreadsheet, `tree` a drawing. What each is made from, and of which
    type a record is, stands in the annotations of these functions.
    """

    name: str
    paper: Callable[[Any], Paper] | None = None
    record: Callable[[Any], Any] | None = None
    table: Callable[[Any], Rows] | None = None
    tree: Callable[[Any], Tree] | None = None

    @property
    def makers(self) -> tuple[Callable[[Any], Any], ...]:
        """The functions of this output, whatever form they serve."""
        every = (self.paper, self.record, self.table, self.tree)
        return tuple(maker for maker in every if maker)

    @property
    def takes(self) -> type:
        """What the output is made from: the annotation of its functions' one argument."""
        hints = get_type_hints(self.makers[0])
        found: type = next(hint for name, hint in hints.items() if name != "return")
        return found

    @property
    def kind(self) -> type | None:
        """The type of the record, for its schema."""
        found: type | None = get_type_hints(self.record)["return"] if self.record else None
        return found


OUTPUTS = (
    Output("verdict", verdict.verdict_paper, case.case_view),
    Output("found", verdict.found_paper),
    Output("state", verdict.state_paper),
    Output("next", verdict.next_paper),
    Output("plan", plan.plan_paper, plan.sheet_view),
    Output("findings", table=tables.findings_table),
    Output("steps", table=tables.plan_table),
    Output("why", asking.why_paper, asking.why_view),
    Output("question", asking.question_paper),
    Output("purpose", asking.purpose_paper),
    Output("effect", asking.effect_paper),
    Output("options", options.options_paper, options.options_view),
    Output("audit", audit.auditing_paper, audit.auditing_view),
    Output("shop-report", shop.shop_paper),
    Output("customer-report", owner.owner_paper),
    Output("standing", call.standing_paper),
    Output("not-yet", call.wants_paper),
    Output("call-sheet", call.sheet_paper, call.sheet_view),
    Output("trace", trace.trace_paper, trace.trace_view, tree=trace.trace_tree),
    Output("walk", walk.walk_paper, walk.walk_view),
    Output("debrief", debrief.debrief_paper, debrief.debrief_view),
    Output("explained", order.explained_paper, order.explained_view),
    Output("book-check", book.checked_paper, book.checked_view),
    Output("book-show", book.shown_paper, book.shown_view),
    Output("book-cover", book.cover_paper, book.cover_view),
    Output("book-diff", book.changed_paper, book.changed_view),
    Output("work", book.work_paper, book.work_view),
)
"""Everything that is ever shown."""

BY_NAME = {output.name: output for output in OUTPUTS}


def paper(name: str, told: Any) -> Paper:
    """Return an output as a paper."""
    make = BY_NAME[name].paper
    assert make is not None, name
    return make(told)


def lines(name: str, told: Any) -> Iterator[Line]:
    """Yield an output as lines for a terminal."""
    yield from paper_lines(paper(name, told))


def json_text(name: str, told: Any) -> str:
    """Return an output as JSON."""
    make = BY_NAME[name].record
    assert make is not None, name
    return as_json(make(told))


def csv_text(name: str, told: Any) -> str:
    """Return an output as CSV."""
    make = BY_NAME[name].table
    assert make is not None, name
    rows = make(told)
    return as_csv(rows.head, rows.rows)


def html_text(name: str, told: Any) -> str:
    """Return an output as a page."""
    from headwater.render.pages import page  # the template engine is wanted for pages alone

    return page(paper(name, told))


def markdown_text(name: str, told: Any) -> str:
    """Return an output as Markdown."""
    from headwater.render.markdown import markdown_report

    return markdown_report(paper(name, told))


def svg_text(name: str, told: Any) -> str:
    """Return an output as a drawing."""
    from headwater.render.svg import svg_file

    make = BY_NAME[name].tree
    assert make is not None, name
    tree = make(told)
    return svg_file(tree, tree.heading)


def schemas() -> dict[str, dict[str, Any]]:
    """Return the JSON Schema of every output that programs read, by the name of its file."""
    return {
        f"{output.name}.schema.json": schema_of(output.kind, f"Headwater: {output.name}")
        for output in OUTPUTS
        if output.kind
    }
