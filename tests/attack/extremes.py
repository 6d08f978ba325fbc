"""Numbers as large, as small and as odd as somebody can write them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from random import Random

from attack.ending import failures_of, obeyed, watched
from attack.registry import Attack, Outcome
from sessions import contract, replay

from headwater.book.load import load_book
from headwater.book.model import Check
from headwater.book.records import Book
from headwater.case.read import parse_case
from headwater.errors import HeadwaterError
from headwater.measure.answer import asked_inputs, say_given, understand
from headwater.measure.registry import WORKS
from headwater.units import units_of
from headwater.verdict.assess import Reasoner, build_reasoner
from headwater.yamltext import quote

SHIPPED = Path(__file__).resolve().parents[2] / "knowledge" / "transfer-case"
NUMBERS = (
    "0", "-0", "0.0", "1", "-1", "1e-300", "1e-999", "5e-324", "1e12", "1e300", "1e308", "1e999",
    "-1e300", "0.1", "80.02", "3/64", "1/0", "0/1", "999999/1", "1 1/2", "1,5", "1,234", "1.2.3",
    "1e-12", "1e11", "9" * 119, "9" * 5000, "0." + "0" * 100 + "1", ".", "-", "٣", "²", "∞", "nan",
    "0x10", "1_000", "2.72:1", "1:0", "1e300:1e-300", "0:0", "", "35", "67", "about 1", "~0",
    "inf", "~1e300", "1e-300 ± 1e300", "1 ± 0", "1 ± -1", "1 ± 1e300", "1 ± nan", "1 ± 1e-320", "±",
    "1 ± 1 ± 1",
    "1e300, 1e300", "1e12; -1e12", "1 and 2", "1 or so", "0.5 to 0.7",
)  # fmt: skip
PLAIN = ("0.1", "1", "2.72", "35", "67", "80.02", "80 ± 0.01", "1e-9", "1e9")
ODD_UNITS = (
    "", "mil", "furlong", "\x1b[2J", "%", "mm mm", "°", "in", "K", "°C", "°F", ":1", "x" * 200,
)  # fmt: skip


def reading(dice: Random, dimension: str) -> str:
    """Return something that might be written for a reading."""
    known = units_of(dimension) if dimension != "choice" else ("",)
    if dice.random() < 0.6:
        return f"{dice.choice(PLAIN)} {dice.choice(known)}".strip()
    unit = dice.choice(known if dice.random() < 0.85 else ODD_UNITS)
    number = dice.choice(NUMBERS)
    if dice.random() < 0.3:
        number = f"{dice.gauss(0, 9)}e{dice.randint(-320, 320)}"
    elif dice.random() < 0.3:
        number = f"{dice.gauss(0, 99)}"
    return f"{number} {unit}".strip()


def _works(dice: Random, runs: int, folder: Path) -> Outcome:  # noqa: ARG001 - as all attacks
    failures: list[str] = []
    for _ in range(runs):
        work = dice.choice(list(WORKS.values()))
        words = ["work", work.name, *(["--json"] if dice.random() < 0.5 else [])]
        for item in work.inputs:
            if (item.default is None and not item.optional) or dice.random() < 0.5:
                told = dice.choice(item.choices) if item.choices else reading(dice, item.dimension)
                words.append(f"{item.name}={told}")
        failures += failures_of(words)
    return Outcome(runs, tuple(failures))


@cache
def _book() -> tuple[Book, Reasoner, tuple[Check, ...]]:
    book = load_book([SHIPPED])
    measured = tuple(check for check in book.checks.values() if check.reading)
    return book, build_reasoner(book, book.family), measured


def _given(dice: Random, book: Book, check: Check) -> str | Mapping[str, str]:
    assert check.reading is not None
    asked = asked_inputs(check)
    if asked and dice.random() < 0.9:
        inputs = {item.name: item for item in WORKS[check.reading.work or ""].inputs}
        return {name: reading(dice, inputs[name].dimension) for name in asked}
    return reading(dice, book.limits[check.reading.limit].dimension)


def _wrong_with(given: str | Mapping[str, str], check: Check, in_a_case: bool) -> str:
    """Return what is wrong with how an answer is taken; nothing if it is taken or refused."""
    book, reasoner, _ = _book()
    assert check.reading is not None
    try:
        with watched():
            judged = understand(book, check, given)
            shown = say_given(judged, book.limits[check.reading.limit])
            if in_a_case:
                contract(replay(book, parse_case(_case_of(check, given), "a.yaml"), reasoner))
    except HeadwaterError as error:
        return "a long message" if len(str(error)) > 300 else ""
    except Exception as error:
        return f"{type(error).__name__} ({error})"
    whole = abs(sum(share for _, share in judged.shares) - 1.0) < 1e-6 or not judged.shares
    return "" if whole and not obeyed(shown) else f"shown as {shown!a}"


def _case_of(check: Check, given: str | Mapping[str, str]) -> str:
    told = quote(given) if isinstance(given, str) else _table(given)
    return f"case: a\nfindings:\n  - {{check: {check.id}, answer: {told}}}\n"


def _table(given: Mapping[str, str]) -> str:
    return "{" + ", ".join(f"{name}: {quote(text)}" for name, text in given.items()) + "}"


def _answers(dice: Random, runs: int, folder: Path) -> Outcome:  # noqa: ARG001 - as all attacks
    book, _, checks = _book()
    failures: list[str] = []
    for number in range(runs):
        check = dice.choice(checks)
        given = _given(dice, book, check)
        if wrong := _wrong_with(given, check, number % 50 == 0):
            failures.append(f"{wrong}: {check.id}: {ascii(given)[:200]}")
    return Outcome(runs, tuple(failures))


ATTACKS = (
    Attack("extreme numbers in bench arithmetic", _works, 300, 25_000),
    Attack("extreme numbers in answers", _answers, 300, 25_000),
)
