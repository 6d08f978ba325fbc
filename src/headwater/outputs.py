"""Every output of the program, in one table: what it is made from, and how it is written.

A front end shows nothing of a case but what stands here. The attacks on the gate walk this table,
so an output that is added is attacked without being named in a test. A new one is a view (`view`),
and a line below; JSON, its schema, pages and terminal lines follow from the view.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING, Any, get_type_hints

from headwater.render.data import DRAFT, as_csv, as_json, schema_of

if TYPE_CHECKING:
    from headwater.render.line import Line
    from headwater.view.paper import Paper

Maker = Callable[[Any], Any]


@dataclass(frozen=True, slots=True)
class Output:
    """One output: `paper` makes what people read, `record` what programs read.

    `table` makes rows for a spreadsheet, `tree` a drawing, `page` a record that a page of the house
    lays out (`render.site`). Each is named `module:function` and
    imported when it is wanted; what it is made from, and of which type a record is, stands in the
    function's annotations.
    """

    name: str
    paper: str = ""
    record: str = ""
    table: str = ""
    tree: str = ""
    page: str = ""

    @property
    def makers(self) -> tuple[Maker, ...]:
        """The functions of this output, whatever form they serve."""
        every = (self.paper, self.record, self.table, self.tree, self.page)
        return tuple(maker(where) for where in every if where)

    @property
    def takes(self) -> type:
        """What the output is made from: the annotation of its functions' one argument."""
        hints = get_type_hints(self.makers[0])
        found: type = next(hint for name, hint in hints.items() if name != "return")
        return found

    @property
    def kind(self) -> type | None:
        """The type of the record, for its schema."""
        if not self.record:
            return None
        found: type = get_type_hints(maker(self.record))["return"]
        return found


def maker(where: str) -> Maker:
    """Return a function named `module:function` within the package."""
    module, _, name = where.partition(":")
    found: Maker = getattr(import_module(f"headwater.{module}"), name)
    return found


OUTPUTS = (
    Output(
        "verdict", "view.verdict:verdict_paper", "view.case:case_view", "view.tables:findings_table"
    ),
    Output("summary", "view.summary:summary_paper"),
    Output("found", "view.verdict:found_paper"),
    Output("state", "view.verdict:state_paper"),
    Output("next", "view.verdict:next_paper"),
    Output("earlier", "view.audit:earlier_paper", "view.audit:earlier_view"),
    Output("plan", "view.plan:plan_paper", "view.plan:sheet_view", "view.tables:plan_table"),
    Output("why", "view.asking:why_paper", "view.asking:why_view"),
    Output("question", "view.asking:question_paper"),
    Output("purpose", "view.asking:purpose_paper"),
    Output("effect", "view.asking:effect_paper"),
    Output("end", "view.left:end_paper"),
    Output("options", "view.options:options_paper", "view.options:options_view"),
    Output("audit", "view.audit:auditing_paper", "view.audit:auditing_view"),
    Output("shop-report", "view.shop:shop_paper"),
    Output("customer-report", "view.owner:owner_paper"),
    Output("standing", "view.call:standing_paper"),
    Output("advice", "view.call:advice_paper"),
    Output("to-read-out", "view.call:comeback_paper"),
    Output("not-yet", "view.call:wants_paper"),
    Output("spoken", "view.spoken:spoken_paper"),
    Output("follow-up", "view.spoken:follow_up_paper"),
    Output("read-back", "view.spoken:read_back_paper"),
    Output("call-sheet", "view.call:sheet_paper", "view.call:sheet_view"),
    Output(
        "trace", "view.trace:trace_paper", "view.trace:trace_view", tree="view.trace:trace_tree"
    ),
    Output("walk", "drill.walk:walk_paper", "drill.walk:walk_view"),
    Output("walk-steps", "drill.walk:steps_paper"),
    Output("stop-shown", "drill.walk:shown_paper"),
    Output("stop-told", "drill.walk:told_paper"),
    Output("exercise", "drill.desk:exercise_paper"),
    Output("known", "drill.desk:known_paper"),
    Output("offer", "drill.desk:offer_paper"),
    Output("made", "drill.desk:made_paper"),
    Output("hint", "drill.desk:hint_paper"),
    Output("debrief", "drill.debrief:debrief_paper", "drill.result:debrief_view"),
    Output("class-list", "drill.classlist:class_paper", "drill.classlist:class_view"),
    Output("class-assigned", "drill.classlist:given_paper", "drill.classlist:given_view"),
    Output("exercise-sheet", "drill.sheets:sheet_paper"),
    Output("answer-sheet", "drill.sheets:answers_paper"),
    Output("explained", "drill.order:explained_paper", "drill.order:explained_view"),
    Output("book-check", "view.book:checked_paper", "view.book:checked_view"),
    Output("book-show", "view.book:shown_paper", "view.book:shown_view"),
    Output("book-list", "view.book:kept_paper", "view.book:kept_view"),
    Output("book-read", "view.proofsheet:proof_paper"),
    Output("book-cover", "view.book:cover_paper", "view.book:cover_view"),
    Output("book-diff", "view.book:changed_paper", "view.book:changed_view"),
    Output("leftovers", "view.told:leftovers_paper", "view.told:leftovers_view"),
    Output("intake", "view.intake:intake_paper"),
    Output("heard", "view.heard:heard_paper", "view.heard:heard_view"),
    Output("work", "view.work:work_paper", "view.work:work_view"),
    Output(
        "ledger-cases",
        "view.ledger:cases_paper",
        "view.ledger:cases_view",
        "view.ledger:cases_table",
    ),
    Output("ledger-card", "view.ledger:card_paper", "view.ledger:card_view"),
    Output("ledger-done", "view.ledger:finished_paper", "view.ledger:finished_view"),
    Output("ledger-returned", "view.ledger:returning_paper", "view.ledger:returning_view"),
    Output("ledger-returns", "view.figures:returns_paper", "view.figures:returns_view"),
    Output(
        "ledger-trends",
        "view.figures:trends_paper",
        "view.figures:trends_view",
        "view.figures:trends_table",
    ),
    Output("ledger-fleet", "view.figures:fleet_paper", "view.figures:fleet_view"),
    Output("ledger-calibrate", "view.figures:calibration_paper", "view.figures:calibration_view"),
    Output("ledger-returns-sheet", "view.sheets:returns_sheet"),
    Output("ledger-trends-sheet", "view.sheets:trends_sheet"),
    Output("ledger-calibrate-sheet", "view.sheets:calibration_sheet"),
    Output("ledger-learn", "view.learned:learning_paper", "view.learned:learning_view"),
    Output("ledger-noted", "view.ledger:noted_paper", "view.ledger:noted_view"),
    Output("people", "view.staff:staff_paper"),
    Output("prices", "view.pricesheet:prices_paper"),
    Output("book-leaf", page="view.leaf:leaf_page"),
    Output("approval", page="view.approval:approval_page"),
    Output("label", page="view.label:label_page"),
    Output("case-list", page="view.shelf:shelf_page"),
    Output("seat", page="view.seat:seat_page"),
    Output("unit", "drill.desk:served_paper"),
    Output("class-room", page="drill.hourpages:room_page"),
    Output("class-hour", page="drill.hourpages:hour_page"),
    Output("class-play", page="drill.hourpages:pupil_page"),
    Output("refusal", record="view.refusal:refusal_view"),
)
"""Everything that is ever shown."""

BY_NAME = {output.name: output for output in OUTPUTS}


def paper(name: str, told: Any) -> Paper:
    """Return an output as a paper."""
    made: Paper = maker(BY_NAME[name].paper)(told)
    return made


def page_of(name: str, told: Any) -> Any:
    """Return an output as a record that a page of the house lays out."""
    return maker(BY_NAME[name].page)(told)


def lines(name: str, told: Any) -> Iterator[Line]:
    """Yield an output as lines for a terminal."""
    from headwater.render.terminal import paper_lines

    yield from paper_lines(paper(name, told))


def pages(name: str, told: Any) -> Iterator[Iterator[Line]]:
    """Yield an output section by section, for whoever turns its pages."""
    from headwater.render.terminal import section_lines

    for section in paper(name, told).sections:
        yield section_lines(section)


def json_text(name: str, told: Any) -> str:
    """Return an output as JSON."""
    return as_json(maker(BY_NAME[name].record)(told))


def csv_text(name: str, told: Any) -> str:
    """Return an output as CSV."""
    rows = maker(BY_NAME[name].table)(told)
    return as_csv(rows.head, rows.rows)


def html_text(name: str, told: Any) -> str:
    """Return an output as a page."""
    from headwater.render.pages import page

    return page(paper(name, told))


def steps_text(name: str, told: Any) -> str:
    """Return an output as a page to be projected, a section at a time."""
    from headwater.render.pages import page

    return page(paper(name, told), steps=True)


def markdown_text(name: str, told: Any) -> str:
    """Return an output as Markdown."""
    from headwater.render.markdown import markdown_report

    return markdown_report(paper(name, told))


def pdf_bytes(name: str, told: Any) -> bytes:
    """Return an output as a PDF. Raises HeadwaterError where the means for it are missing."""
    from headwater.render.pages import page
    from headwater.render.pdf import pdf_of

    made = paper(name, told)
    return pdf_of(page(made), made.heading, made.sheet)


def paper_file(name: str, told: Any, form: str) -> str | bytes:
    """Return an output as a page, a PDF or Markdown: `html`, `pdf` or `markdown`."""
    if form == "pdf":
        return pdf_bytes(name, told)
    return html_text(name, told) if form == "html" else markdown_text(name, told)


def svg_text(name: str, told: Any) -> str:
    """Return an output as a drawing."""
    from headwater.render.svg import svg_file

    tree = maker(BY_NAME[name].tree)(told)
    return svg_file(tree, tree.heading)


def schemas() -> dict[str, dict[str, Any]]:
    """Return the JSON Schema of what programs read and of what people write, by file name.

    What people write are a case, a price list, a plan file and a letterhead.
    """
    from headwater.book.shape import record_schema
    from headwater.case.model import Case
    from headwater.session.letterhead import Letterhead
    from headwater.session.proposal import ProposalFile
    from headwater.verdict.prices import Prices

    kinds = (Case, Prices, ProposalFile, Letterhead)
    written = dict(zip(("case", "prices", "plan-file", "letterhead"), kinds, strict=True))
    heads = {name: {"$schema": DRAFT, "title": f"Headwater: {name}, as read"} for name in written}
    return {
        f"{name}.schema.json": heads[name] | _may_be_empty(record_schema(kind))
        for name, kind in written.items()
    } | {
        f"{output.name}.schema.json": schema_of(kind, f"Headwater: {output.name}")
        for output in OUTPUTS
        if (kind := output.kind)
    }


def _may_be_empty(schema: dict[str, Any]) -> dict[str, Any]:
    """Return the schema of a file in which a list or a table may be empty, as in a blank one."""
    inner = {key: _may_be_empty(item) for key, item in schema.get("properties", {}).items()}
    found = schema | {"properties": inner} if inner else schema
    if any(kind.get("type") == "array" for kind in schema.get("anyOf", ())):
        kinds = [_may_be_empty(kind) for kind in schema["anyOf"]]
        return found | {"anyOf": [*kinds, {"type": "null"}]}
    if isinstance(schema.get("additionalProperties"), dict):
        return found | {"type": ["object", "null"]}
    return found
