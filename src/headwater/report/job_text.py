"""The job sheet and the priced options as lines of plain text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from headwater.book.records import Book
from headwater.report.text import HEADLINES, Line
from headwater.verdict.assess import Assessment, Ending
from headwater.verdict.comingback import AgainLine, ComingBack
from headwater.verdict.jobsheet import Job, JobSheet
from headwater.verdict.options import Charge, Option, Way
from headwater.verdict.prices import Prices
from headwater.view.words import minutes_words, part_title, percent, title

Lines = Iterator[Line]
BILL_AT_MOST = 6
NOTHING_TO_REPAIR = "There is nothing to repair."
NO_PRICES = "No price file: no money is worked out. Name one with --prices FILE."


def sheet_lines(assessment: Assessment, sheet: JobSheet) -> Lines:
    """Yield the whole job sheet."""
    yield Line(HEADLINES[assessment.ending], "head")
    for cid in assessment.unexplained:
        yield Line(f"Not explained: {title(assessment.book, cid)}", "bad", indent=2)
    yield from _held_lines(assessment, sheet.held)
    if assessment.ending is Ending.UNDETERMINED and not sheet.covering:
        yield Line(
            "No set of corrections covers every candidate; an exchange unit is left.", indent=2
        )
    number = 0
    for heading, jobs in (
        ("First correct the origins", sheet.origins),
        ("Then what their chains damaged, from the origin outwards", sheet.damage),
        ("No origin can be named; this set corrects every live candidate", sheet.covering),
    ):
        if jobs:
            yield Line()
            yield Line(heading, "head")
        for job in jobs:
            number += 1
            yield from _job_lines(assessment, number, job)
    yield from _plain_jobs(assessment, "Look at, because it is expected", sheet.looks)
    yield from _plain_jobs(assessment, "Found sound, so reuse", sheet.sound)
    if sheet.opens:
        yield Line()
        yield Line("Still to come off", "head")
        for rid in sheet.opens:
            record = assessment.book.removals[rid]
            yield Line(f"{record.title} ({minutes_words(record.minutes)})", indent=2)
    if sheet.closing:
        yield Line()
        yield Line("As it goes back together", "head")
    for closing in sheet.closing:
        for point in closing.points:
            yield Line(f"[ ] {point}", indent=2, hang=4)


def _held_lines(assessment: Assessment, held: Iterable[Job]) -> Lines:
    for job in held:
        name = part_title(assessment.book, job.step.on)
        yield Line(f"HELD {name}: {job.because}.", "bad", indent=2)


def _job_lines(assessment: Assessment, number: int, job: Job) -> Lines:
    step = job.step
    verb = step.action.value if step.action else "held"
    name = part_title(assessment.book, step.on)
    yield Line(f"{number:2}. {name}: {verb} ({minutes_words(step.minutes)})", indent=2, hang=4)
    yield Line(step.text, indent=6, hang=0)
    yield Line(f"because: {job.because}", "quiet", indent=6)
    for chain in job.chains:
        yield Line(f"chain: {chain_words(assessment.book, chain.path)}", "quiet", indent=6)
    for point in step.fitting:
        yield Line(f"[ ] {point}", indent=6, hang=4)


def _plain_jobs(assessment: Assessment, heading: str, jobs: Iterable[Job]) -> Lines:
    for index, job in enumerate(jobs):
        if not index:
            yield Line()
            yield Line(heading, "head")
        name = part_title(assessment.book, job.step.on)
        verb = job.step.action.value if job.step.action else ""
        yield Line(f"- {name}: {verb}. {job.because}.", indent=2)


def chain_words(book: Book, path: Iterable[str]) -> str:
    """Return a chain in words, from its origin on."""
    return " -> ".join(title(book, cid) for cid in path)


OPTION_HEADS = ("minutes", "price", "comes back", "expected", "together")
HOW_RECKONED = (
    "'Comes back' is the probability that origins left in place do damage again, in the worlds "
    "that fit what was found. 'Expected' is that probability times the bill, part by part."
)


def option_lines(assessment: Assessment, options: list[Option], prices: Prices | None) -> Lines:
    """Yield the table of options, and the arithmetic behind each row."""
    yield Line("Options", "head")
    if prices:
        told = f"{list_words(prices)}, labour {money(prices.labour)} an hour"
        yield Line(told, "quiet", indent=2)
    else:
        yield Line(NO_PRICES, "bad", indent=2)
    if not options:
        yield Line(NOTHING_TO_REPAIR, indent=2)
        return
    yield Line()
    yield Line(_row("", *OPTION_HEADS), "quiet")
    for number, option in enumerate(options, 1):
        yield Line(_option_row(number, option))
        if option.way is Way.EXCHANGE_AND_OUTSIDE:
            yield Line("(with what is planned outside the unit)", "quiet", indent=4)
    for number, option in enumerate(options, 1):
        yield Line()
        yield from working_lines(assessment, number, option, prices)
    yield Line()
    yield Line(HOW_RECKONED, "quiet")


def list_words(prices: Prices) -> str:
    """Return which price list was used."""
    return f"Prices: {prices.prices}, in {prices.currency}"


def labour_words(minutes: float, prices: Prices) -> str:
    """Return the arithmetic of labour."""
    return f"{minutes:.0f} min x {money(prices.labour)} / 60 = {money(prices.work(minutes))}"


def _row(name: str, *cells: str) -> str:
    widths = (9, 11, 12, 11, 12)
    told = (cell.rjust(width) for cell, width in zip(cells, widths, strict=True))
    return name.ljust(25) + "".join(told)


def _option_row(number: int, option: Option) -> str:
    short = "exchange unit and more" if option.way is Way.EXCHANGE_AND_OUTSIDE else option.way.value
    name = f"{number} {short}"
    cells = option_cells(option)
    return _row(name, *cells) if cells else f"{name.ljust(25)}  refused"


def option_cells(option: Option) -> tuple[str, ...]:
    """Return minutes, price, chance of coming back, its cost and the sum; none if refused."""
    if option.refused or option.again is None:
        return ()
    return (
        _minutes(option),
        money(option.total),
        percent(option.again.chance),
        _at_least(option, option.again.cost),
        _at_least(option, option.with_comeback),
    )


def _at_least(option: Option, amount: float | None) -> str:
    return f">{money(amount)}" if option.at_least and amount is not None else money(amount)


def _minutes(option: Option) -> str:
    return f"{option.minutes:.0f}" if option.minutes else "-"


def money(amount: float | None) -> str:
    """Return an amount; a dash where it is not known."""
    return "-" if amount is None else f"{amount:.2f}"


def working_lines(
    assessment: Assessment, number: int, option: Option, prices: Prices | None
) -> Lines:
    """Yield the arithmetic behind one option."""
    yield Line(f"{number} {option.way.value}", "head")
    if option.refused:
        yield Line(f"Refused: {option.refused}.", "bad", indent=2)
        return
    for charge in option.charges:
        yield Line(_charge_words(assessment.book, charge, prices), indent=2)
    if prices and option.labour is not None:
        yield Line(f"labour {labour_words(option.minutes, prices)}", indent=2)
        if option.total is None:
            names = ", ".join(_thing(assessment.book, on) for on in option.unpriced)
            yield Line(f"no total: the price file has no price for {names}", "bad", indent=2)
        else:
            parts = f"material {money(option.material)} + labour {money(option.labour)}"
            yield Line(f"{parts} = {money(option.total)}", indent=2)
    for cid in option.leaves:
        yield Line(f"leaves in place: {title(assessment.book, cid)}", "bad", indent=2)
    if option.again:
        yield from _again_lines(assessment.book, option.again)


def _charge_words(book: Book, charge: Charge, prices: Prices | None) -> str:
    words = f"{_thing(book, charge.on)}: {charge.what}, {charge.minutes:.0f} min"
    if not prices:
        return words
    if charge.material is None:
        return f"{words}, no price"
    return f"{words}, {money(charge.material)}" if charge.material else words


def _thing(book: Book, on: str) -> str:
    if on == "unit":
        return "another unit"
    if on in book.removals:
        return book.removals[on].title
    return part_title(book, on)


def _again_lines(book: Book, again: ComingBack) -> Lines:
    if not again.lines:
        yield Line("no origin that bears on the findings is left in place", indent=2)
        return
    yield Line(f"if it comes back ({percent(again.chance)}):", indent=2)
    bill = sorted(
        (*again.lines, *again.opening), key=lambda line: (-(line.expected or 0.0), -line.chance)
    )
    for line in bill[:BILL_AT_MOST]:
        yield Line(_bill_words(book, line), indent=4)
    rest = bill[BILL_AT_MOST:]
    if rest and again.cost is not None:
        amount = sum(line.expected or 0.0 for line in rest)
        yield Line(f"{len(rest)} smaller lines = {amount:.2f}", indent=4)
    elif rest:
        yield Line(f"{len(rest)} less probable lines", indent=4)
    if again.cost is not None:
        yield Line(f"expected cost of coming back {again.cost:.2f}", indent=4)
    if again.unpriced and again.cost is not None:
        names = ", ".join(_thing(book, on) for on in again.unpriced[:3])
        more = f" and {len(again.unpriced) - 3} more" if len(again.unpriced) > 3 else ""
        yield Line(f"at least: the price file has no price for {names}{more}", indent=4)


def _bill_words(book: Book, line: AgainLine) -> str:
    name = _thing(book, line.on)
    if line.cost is None:
        return f"{name}: {percent(line.chance)}"
    return f"{name}: {line.chance:.3f} x {line.cost:.2f} = {line.expected or 0.0:.2f}"
