"""Ways to put a unit right, priced, in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from headwater.book.records import Book
from headwater.session.session import Session
from headwater.verdict.comingback import AgainLine, ComingBack
from headwater.verdict.options import UNIT, Charge, Option, Way, make_options
from headwater.verdict.prices import Prices
from headwater.verdict.sums import labour_of, sums_of
from headwater.view.audit import earlier_sections
from headwater.view.paper import Entries, Entry, Grid, Paper, Section, Tone, Words, say
from headwater.view.words import money, part_title, percent, title

BILL_AT_MOST = 6
NOTHING_TO_REPAIR = "There is nothing to repair."
NO_PRICES = "No price file: no money is worked out. Name one with --prices FILE."
HEADS = ("minutes", "price", "comes back", "expected", "together")
HOW_RECKONED = (
    "Each price is that of the whole job: opening, closing, what that uses up, work and small "
    "material. 'Comes back' is the probability that an origin left in place brings back what was "
    "found; below stands which. 'Expected' is that probability times the bill, part by part."
)
WHAT = {
    "opened": "already off",
    "opening": "to come off",
    "closing": "put back",
    "renewed": "used up by the job",
}
"""The lines of an option that are about no step of the plan, in words."""
NAMED_AT_MOST = 3
PLANNED = Way.PLANNED.value.capitalize()


@dataclass(frozen=True, slots=True)
class Pricing:
    """A case with the shop's price list, and the parts that a customer asks for."""

    session: Session
    prices: Prices | None = None
    asked: tuple[str, ...] = ()

    def options(self) -> list[Option]:
        """Return the ways to put the unit right."""
        return make_options(self.session.verdict, self.prices, list(self.asked))


@dataclass(frozen=True, slots=True)
class PricesView:
    """Which price list was used."""

    name: str
    currency: str
    labour: float
    valid_from: str | None


@dataclass(frozen=True, slots=True)
class AgainLineView:
    """One line of the bill of a comeback."""

    on: str
    probability: float
    minutes: float
    cost: float | None
    expected: float | None


@dataclass(frozen=True, slots=True)
class StayingView:
    """An origin that would bring it back; None stands for causes that the book does not know."""

    origin: str | None
    probability: float


@dataclass(frozen=True, slots=True)
class ComingBackView:
    """How probably a repair comes back, why in a line, and the expected bill."""

    probability: float
    words: str
    left: tuple[StayingView, ...]
    expected_cost: float | None
    parts: tuple[AgainLineView, ...]
    opening: tuple[AgainLineView, ...]
    unpriced: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ChargeView:
    """One line of an option."""

    on: str
    what: str
    minutes: float | None
    material: float | None


@dataclass(frozen=True, slots=True)
class OptionView:
    """A way to put the unit right; `refused` says why it is not priced.

    `leaves` are named origins that stay, `may_leave` candidates that stay while none is named.
    """

    way: Way
    refused: str | None
    charges: tuple[ChargeView, ...]
    minutes: float | None
    material: float | None
    labour: float | None
    total: float | None
    unpriced: tuple[str, ...]
    unfound: tuple[str, ...]
    leaves: tuple[str, ...]
    may_leave: tuple[StayingView, ...]
    coming_back: ComingBackView | None
    together: float | None


@dataclass(frozen=True, slots=True)
class OptionsView:
    """The priced options; every figure of money is None without a price file."""

    case: str
    prices: PricesView | None
    options: tuple[OptionView, ...]


def options_view(pricing: Pricing) -> OptionsView:
    """Return the options as a record."""
    prices = prices_view(pricing.prices) if pricing.prices else None
    book = pricing.session.book
    options = tuple(_option(book, option) for option in pricing.options())
    return OptionsView(pricing.session.case.case, prices, options)


def prices_view(prices: Prices) -> PricesView:
    """Return which price list was used."""
    since = str(prices.valid_from) if prices.valid_from else None
    return PricesView(prices.prices, prices.currency, prices.labour, since)


def _option(book: Book, option: Option) -> OptionView:
    return OptionView(
        option.way,
        option.refused or None,
        tuple(ChargeView(c.on, c.what, c.minutes, c.material) for c in option.charges),
        option.minutes,
        option.material,
        option.labour,
        option.total,
        option.unpriced,
        option.unfound,
        option.leaves,
        tuple(StayingView(origin, share) for origin, share in option.may_leave),
        _again(book, option.again) if option.again else None,
        option.with_comeback,
    )


def _again(book: Book, again: ComingBack) -> ComingBackView:
    def lines(some: Sequence[AgainLine]) -> tuple[AgainLineView, ...]:
        return tuple(AgainLineView(x.on, x.chance, x.minutes, x.cost, x.expected) for x in some)

    parts, opening = lines(again.lines), lines(again.opening)
    left = tuple(StayingView(origin, chance) for origin, chance in again.left)
    words = _comes_back(book, again)
    return ComingBackView(again.chance, words, left, again.cost, parts, opening, again.unpriced)


def options_paper(pricing: Pricing) -> Paper:
    """Return the table of options, and the arithmetic behind each row."""
    told = earlier_sections(pricing.session)
    return Paper("Options", (), (*told, *options_sections(pricing)))


def options_sections(pricing: Pricing) -> list[Section]:
    """Return the table with what it rests on, and the arithmetic behind each row."""
    prices, options = pricing.prices, pricing.options()
    told = say(Words(NO_PRICES, Tone.HELD))
    if prices:
        rate = f"{list_words(prices)}, labour {money(prices.labour)} an hour"
        told = say(Words(rate, Tone.QUIET))
    if not options:
        return [Section("Ways to put it right", (told, say(NOTHING_TO_REPAIR)))]
    how = say(Words(HOW_RECKONED, Tone.QUIET))
    sections = [Section("Ways to put it right", (told, _table(options, prices), how))]
    for number, option in enumerate(options, 1):
        points = tuple(_working(pricing.session.book, option, prices))
        head = Words(f"{number} {option.way.value}", Tone.STRONG)
        sections.append(Section("", (Entries((Entry((head,), points),)),)))
    return sections


def _table(options: Sequence[Option], prices: Prices | None) -> Grid:
    rows = []
    for number, option in enumerate(options, 1):
        cells = _cells(option, prices) or ("refused",)
        filled = (f"{number} {option.way.value}", *cells, *[""] * (len(HEADS) - len(cells)))
        rows.append(tuple((Words(text),) for text in filled))
    return Grid(("way", *HEADS), tuple(rows))


def _cells(option: Option, prices: Prices | None) -> tuple[str, ...]:
    """Return minutes, price, chance of coming back, its cost and the sum; none if refused."""
    if option.refused or option.again is None:
        return ()
    sums = sums_of(option, prices) if prices else None
    return (
        "-" if option.minutes is None else f"{option.minutes:.0f}",
        money(sums.net if sums else None),
        percent(option.again.chance),
        _at_least(option, option.again.cost),
        _at_least(option, option.with_comeback),
    )


def _at_least(option: Option, amount: float | None) -> str:
    return f">{money(amount)}" if option.at_least and amount is not None else money(amount)


def list_words(prices: Prices) -> str:
    """Return which price list was used, and from when it is."""
    of_day = f" of {prices.valid_from}" if prices.valid_from else ""
    return f"Prices{of_day}: {prices.prices}, in {prices.currency}"


def labour_words(minutes: float, prices: Prices) -> str:
    """Return the arithmetic of labour."""
    return f"{minutes:.0f} min x {money(prices.labour)} / 60 = {money(labour_of(prices, minutes))}"


def _working(book: Book, option: Option, prices: Prices | None) -> list[str]:
    """Return the arithmetic behind one option, a line each."""
    if option.refused:
        return [f"Refused: {option.refused}."]
    told = [_charge_words(book, charge, prices) for charge in option.charges]
    if prices and option.minutes is not None:
        told.append(f"labour {labour_words(option.minutes, prices)}")
        sums = sums_of(option, prices)
        if sums is None:
            names = ", ".join(_thing(book, on) for on in option.unpriced)
            told.append(f"no total: the price file has no price for {names}")
        else:
            parts = f"material {money(sums.material)} + labour {money(sums.labour)}"
            told.append(f"{parts} = {money(sums.net)}")
    told += [f"nothing was found on it: {_thing(book, part)}" for part in option.unfound]
    told += [f"leaves in place: {title(book, cid)}" for cid in option.leaves]
    told += [
        f"may leave in place: {title(book, cid)} ({percent(share)})"
        for cid, share in option.may_leave
    ]
    return told + (_bill(book, option.again) if option.again else [])


def _charge_words(book: Book, charge: Charge, prices: Prices | None) -> str:
    words = f"{_thing(book, charge.on)}: {WHAT.get(charge.what, charge.what)}"
    if charge.minutes is None:
        return f"{words}; its time and price stand in a price list"
    if charge.minutes:
        words += f", {charge.minutes:.0f} min"
    if not prices:
        return words
    if charge.material is None:
        return f"{words}, no price"
    return f"{words}, {money(charge.material)}" if charge.material else words


def _thing(book: Book, on: str) -> str:
    if on == UNIT:
        return "another unit"
    return book.removals[on].title if on in book.removals else part_title(book, on)


def _bill(book: Book, again: ComingBack) -> list[str]:
    told = [_comes_back(book, again)]
    bill = sorted(
        (*again.lines, *again.opening), key=lambda line: (-(line.expected or 0.0), -line.chance)
    )
    if bill:
        told.append("if it comes back:")
    told += [_bill_words(book, line) for line in bill[:BILL_AT_MOST]]
    rest = bill[BILL_AT_MOST:]
    if rest and again.cost is not None:
        told.append(f"{len(rest)} smaller lines = {sum(x.expected or 0.0 for x in rest):.2f}")
    elif rest:
        told.append(f"{len(rest)} less probable lines")
    if bill and again.cost is not None:
        told.append(f"expected cost of coming back {again.cost:.2f}")
    if again.unpriced and again.cost is not None:
        names = ", ".join(_thing(book, on) for on in again.unpriced[:3])
        more = f" and {len(again.unpriced) - 3} more" if len(again.unpriced) > 3 else ""
        told.append(f"at least: the price file has no price for {names}{more}")
    return told


def _comes_back(book: Book, again: ComingBack) -> str:
    """Return in a line how probably it comes back, and what would bring it back."""
    if not again.left:
        return "comes back: no origin that bears on the findings is left in place"
    names = [
        f"{title(book, origin) if origin else 'a cause not in the book'} ({percent(chance)})"
        for origin, chance in again.left[:NAMED_AT_MOST]
    ]
    rest = len(again.left) - NAMED_AT_MOST
    more = f" and {rest} more" if rest > 0 else ""
    return f"comes back ({percent(again.chance)}) by what may stay: {', '.join(names)}{more}"


def _bill_words(book: Book, line: AgainLine) -> str:
    name = _thing(book, line.on)
    if line.cost is None:
        return f"{name}: {percent(line.chance)}"
    return f"{name}: {line.chance:.3f} x {line.cost:.2f} = {line.expected or 0.0:.2f}"
