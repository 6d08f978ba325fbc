"""Blank files for a person to fill in: a case, a price list, a letterhead, a plan.

Every key is explained and has an example. Explanations stand behind '# '; a line whose '#' has no
blank behind it is an example, and part of the file once its '#' is deleted.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from headwater.book.model import Check, Condition
from headwater.book.records import Book, for_family
from headwater.book.tables import GONE, Nature, Seat, Verb
from headwater.verdict.prices import NEEDS_PART
from headwater.yamltext import quote

_HOW = """\
# Lines like '#key: ...', without a blank behind the '#', are examples: delete the '#' of those that
# you need. A text that holds ': ' or ' #' stands in "quotes".
"""

_ON = "2026-03-02"
_AT = f"{_ON} 09:10"

_CASE = """\
# A case: one unit, from the first word to how it turned out.
{how}

# The name of the case.
case: {name}

# The book that the case is made with; the program looks after this line.
book: {stamp}

# Where you stand: {seats}.
seat: bench

# The customer's words, as they were said.
{complaint}

# Whose vehicle it is, and where they are reached; its plate or fleet number; how far it has run,
# with the unit; the names of the pictures taken.
#customer: mountain rescue, north valley
#phone: 555 0117
#vehicle: fleet 17
#distance: 84000 km
#photographs: [fork-left.jpg, bore-front.jpg]

# It came back: the file of the earlier case of this unit, as seen from this file.
#earlier: {name}-before.yaml

# What is told of work that was done before, here or elsewhere: in the words in which it was told,
# how long or how far ago, and part by part if that is known.
#before:
  #told: rebuilt by another shop
  #ago: 350 miles
  #done: [{{action: replace, on: {part}}}]

unit:
  # What the unit is; leave out what you do not know.
  family:
{family}
  # The number that stands on it.
  #number: T-1041
  # What is known of its life.
  #history: much low range on forest tracks
  # What is off already: [] if nothing is. On the bench all of it, if this is left out.
  # 'headwater book show removals' lists the words.
  #removed: []

# What was done to the unit, and on which part, by its id or in words. What can be done:
{verbs}
#done:
  #- {{action: replace, on: {part}, note: by another shop}}

# How it turned out, once that is known.
#outcome: {{comeback: true, after: 350 miles, note: the same noise}}

# What was found, in order, a line each. 'headwater book show checks' lists the checks, and
# 'headwater book show CHECK' the answers of one. A reading carries its unit: 1.14 mm, 0.045 in,
# 3/64 in, 1.14 ± 0.02 mm, 'about 1 mm'. Three more answers go with every check: dont-know,
# cannot-check, gone. 'seat', 'at' and 'note' say where, when and what else, if you want.
# A second answer to a check is another look. 'corrects: 1' says that the first answer of this list
# was wrong and that this one stands in its place. 'removed' says what you took off in between.
# 'rest: gone' says that no look not made so far can be made any more, 'rest: not-gone' takes that
# back. 'accepted' names a condition that was found and whose probable origin you take though looks
# are left. What was said stands here, too, word for word, with the words of it that are in no
# answer, and the signs of danger and troubles outside the driveline in it, by id:
# {{told: it howls and the lid rotates, unplaced: [lid rotates], outside: [engine-overheats]}}
# 'means' beside it, {{told: milky oil, means: [water-in-oil]}}, names conditions that nobody there
# could look at: whoever can looks at them first.
# What is {{struck: lid rotates, note: a joke}} is left aside; {{again: lid rotates}} tells no more
# than what was taken down. 'family' is what the unit turned out to be, beside what stands above.
# Photographs are written by the pages: the picture's name, the number of the answer that it shows,
# and its caption:
# {{photograph: NAME.jpg, of: 2, note: the worn side}}
# Beside an answer they write what a browser gave it, so that it counts once: {{check: x, answer: y,
# sent: 7f3a}}
# What the customer approved, how (phone, in-person, in-writing) and for which quote:
# {{approved: {{amount: 640.00 EUR, by: Ada North, how: phone, on: 2026-03-02, quote: as planned}}}}
# Beside the quote stands what it came to then, sums: {{material: 512.00 EUR, total: 640.00 EUR}}.
findings:
{findings}
"""

_PRICES = """\
# A price list: what the shop charges. What has no price here is said to have none.
{how}

# The name of the list.
prices: {name}

# The first day on which it is valid. Several lists may lie in one folder, each with its day: the
# list of a day is the last one that is valid by then. Without a day it was always valid.
#valid-from: {on}

# The currency, as it is to be printed: EUR.
currency:

# One hour of labour: 64.00.
labour:

# The price of each part, by its id or in words as the plan has them: 'range-fork: 88.00'.
parts:
{parts}

# Small material of one step, by what is done: 'shim: 6.00'.
#sundries:
{sundries}

# An exchange unit, old unit taken back: its price, and the minutes to take the old one out and put
# this one in.
#exchange: {{price: 2450.00, minutes: 150}}
"""

_LETTERHEAD = """\
# A letterhead: what the shop has on its papers.
{how}

# The name of the shop.
letterhead: {name}

# Where it is, line by line, and where it is reached.
#address: [Mill Lane 4, North Valley]
#phone: 555 0100

# The tax on what a customer pays: what it is called, and per cent of the net sum. No tax is printed
# without it.
#tax: {{name: VAT, rate: 19}}

# What the shop stands for, in its own words.
#warranty: Twelve months or 20000 km on what was done, whichever comes first.

# The size of its paper: a4 or letter.
#sheet: a4
"""

_PLAN = """\
# A plan: a repair that somebody proposes, to be held against a case with
# 'headwater audit CASE --plan FILE'.
{how}

# Whose plan it is, or its name.
plan: {name}

# What is to be done, in order, and on which part, by its id or in words. What can be done:
{verbs}
# 'corrects' names conditions that a step corrects ('headwater book show conditions' lists them).
steps:
  #- {{action: replace, on: {part}, note: with its fastenings}}
  #- {{action: repair, on: {other}, corrects: [{origin}]}}

# Parts to be renewed: short for 'replace'.
#parts: [{part}]

# true for an exchange unit.
#exchange: false
"""


def blank_case(name: str, book: Book, family: Mapping[str, str], complaint: str = "") -> str:
    """Return the text of a case to be filled in, for a unit of this family."""
    own = for_family(book, book.assumed | dict(family))
    stamp = f"{{name: {quote(book.name)}, version: {quote(book.version)}"
    return _CASE.format(
        how=_HOW.rstrip("\n"),
        name=quote(name),
        stamp=f"{stamp}, digest: {quote(book.digest)}}}",
        seats=", ".join(seat.value for seat in Seat),
        complaint=f"complaint: {quote(complaint)}"
        if complaint
        else "#complaint: it whines, and low range has to be held in by hand",
        family="\n".join(_family(book, family)),
        verbs=_verbs(),
        part=_part(own),
        findings="\n".join(_findings(own)),
    )


def blank_prices(name: str, book: Book) -> str:
    """Return the text of a price list to be filled in: every part of the book, none priced."""
    width = max(map(len, book.parts), default=0) + 1
    parts = (f"  #{f'{part}:':{width}}   # {book.parts[part].title}" for part in book.parts)
    sundries = (f"  #{verb.value}: 0.00" for verb in Verb if verb not in NEEDS_PART)
    return _PRICES.format(
        how=_HOW.rstrip("\n"),
        name=quote(name),
        on=_ON,
        parts="\n".join(parts),
        sundries="\n".join(sundries),
    )


def blank_letterhead(name: str, _: Book) -> str:
    """Return the text of a letterhead to be filled in."""
    return _LETTERHEAD.format(how=_HOW.rstrip("\n"), name=quote(name))


def blank_plan(name: str, book: Book) -> str:
    """Return the text of a proposed repair to be filled in."""
    own = for_family(book, book.assumed)
    origin = next((one for one in own.origins.values() if one.part and not one.when), None)
    return _PLAN.format(
        how=_HOW.rstrip("\n"),
        name=quote(name),
        verbs=_verbs(),
        part=_part(own),
        other=quote(own.parts[origin.part].title) if origin and origin.part else "the part",
        origin=origin.id if origin else "a-condition",
    )


def _verbs() -> str:
    return f"# {', '.join(verb.value for verb in Verb)}."


def _part(book: Book) -> str:
    """Return a part as an example, in words: one that every unit of the family has."""
    own = (part.title for part in book.parts.values() if not part.when and not part.outside)
    return quote(next(own, "the part"))


def _family(book: Book, family: Mapping[str, str]) -> Iterator[str]:
    for name, attribute in for_family(book, book.assumed).attributes.items():
        if attribute.assume and name not in family:
            continue
        yield f"    # {attribute.ask} {', '.join(attribute.values)}."
        given = name in family
        value = family[name] if given else next(iter(attribute.values))
        yield f"    {'' if given else '#'}{name}: {quote(value)}"


def _findings(book: Book) -> Iterator[str]:
    looks = [check for check in book.checks.values() if _simple(check) and not check.reading]
    for check in looks[:1]:
        words = [quote(word) for word in check.answers]
        yield f"  #- {{check: {check.id}, answer: {words[0]}, seat: bench, at: {_AT}}}"
        yield f"  #- {{check: {check.id}, answer: {words[-1]}, corrects: 1, note: both sides}}"
    for check in [check for check in book.checks.values() if _simple(check) and check.reading][:1]:
        assert check.reading is not None
        edge = book.limits[check.reading.limit].bands[0].upto
        yield f"  #- {{check: {check.id}, answer: {quote(str(edge))}}}"
    for removal in [one for one in book.removals.values() if not one.when][:1]:
        yield f"  #- {{removed: {removal.id}}}"
    for damage in [one for one in book.conditions.values() if _damaged(one)][:1]:
        yield f"  #- {{accepted: {damage.id}}}"
    yield f"  #- {{rest: {GONE}}}"


def _damaged(condition: Condition) -> bool:
    """Say whether a condition suits as an example: damage of a part that any unit has."""
    return condition.kind is Nature.DAMAGE and bool(condition.part) and not condition.when


def _simple(check: Check) -> bool:
    """Say whether a check suits as an example: for any unit, and answered by one word or figure."""
    return (
        Seat.BENCH in check.seats and not check.when and not (check.reading and check.reading.work)
    )
