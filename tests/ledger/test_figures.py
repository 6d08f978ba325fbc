"""Trends and returns: counted by hand on a few cases, and found again in a shop that was drawn."""

from __future__ import annotations

import csv
import io
import json
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import insert

from headwater import outputs
from headwater.cli.main import Terminal, run
from headwater.ledger.conclude import Conclusion
from headwater.ledger.door import Ledger, make_ledger, open_ledger
from headwater.ledger.kept import LedgerCase
from headwater.ledger.look import find_cases
from headwater.ledger.outcome import CameBack, Handed, finish, returned, seen_running
from headwater.ledger.records import Hand, LedgerError, OriginDone
from headwater.ledger.returns import returns_report
from headwater.ledger.tables import happened
from headwater.ledger.taken import add_case, case_file_of
from headwater.ledger.trends import TrendsAsked, fleet_report, trends_report
from ledger.drawn import BACK_IF_NOT, BACK_IF_RIGHT, fill

HAND = Hand()
ROOT = Path(__file__).resolve().parents[2]


def clock() -> datetime:
    return datetime(2031, 1, 5, 8, tzinfo=UTC)


def repair(ledger: Ledger, name: str, origin: str, right: bool, out: str, head: str = "") -> None:
    """Put a case in that is done; no origin was named where none is given."""
    given = case_file_of(f"case: {name}\n{head}findings:\n", name)
    add_case(ledger, given, HAND, clock=clock)
    done(ledger, name, origin, right, out)


def done(ledger: Ledger, name: str, origin: str, right: bool, out: str) -> None:
    named = (OriginDone(origin, origin, "proven", 0.98, right),) if origin else ()
    guess = OriginDone("a-guess", "a guess", "open", 0.2, False)
    found = Conclusion("settled", "drive=chain", (*named, guess), (("x", "fork"),), "")
    finish(ledger, LedgerCase(ledger, name, HAND, clock), (), found, Handed(out), clock)


def back(ledger: Ledger, earlier: str, name: str, on: str, same: bool, km: str = "") -> None:
    returned(ledger, earlier, name, CameBack(on, km, "", same), HAND, clock)


@pytest.fixture
def few(shop: Ledger) -> Ledger:
    """Six repairs; two came back, two were seen since, one was sold, one never heard of again."""
    at = "distance: {} km\nunit: {{number: {}}}\n"
    repair(shop, "a", "bore-worn", True, "2031-01-10", at.format(50_000, "A"))
    repair(shop, "b", "bore-worn", False, "2031-01-10", at.format(60_000, "B"))
    repair(shop, "c", "", False, "2031-01-10", at.format(70_000, "C"))
    repair(shop, "d", "oil-wrong", True, "2031-01-10", at.format(80_000, "D"))
    repair(shop, "e", "oil-wrong", True, "2031-01-10")
    repair(shop, "f", "bore-worn", True, "2031-01-10")
    seen_running(shop, "a", "2031-04-20", "55000 km", "", HAND)
    back(shop, "b", "b-again", "2031-02-09", True, "61000 km")
    back(shop, "c", "c-again", "2031-03-11", False)
    seen_running(shop, "d", "2031-07-29", "", "", HAND)
    seen_running(shop, "e", "2031-05-01", "", "sold", HAND)
    return shop


def test_returns_counted_by_hand(few: Ledger) -> None:
    found = returns_report(few)
    assert (found.whole.count, found.whole.of) == (2, 6)
    assert (found.never_seen, found.gone) == (2, 1)  # who was sold lasted for no time at all
    groups = {row.name: (row.count, row.of) for row in found.groups}
    assert groups == {
        "origin named and put right": (0, 4),
        "origin named, left in place": (1, 1),
        "origin not named": (1, 1),
    }
    assert {row.name: (row.count, row.of) for row in found.origins} == {
        "bore-worn": (1, 3), "oil-wrong": (0, 2),
    }  # fmt: skip
    assert [(row.count, row.of) for row in found.complaints] == [(1, 2)]
    days = found.by_days
    assert (days.returned, days.running, days.method, days.fit) == (2, 2, "as exact", None)
    # at risk 4 on day 30, 3 on day 60: 3/4, then 1/2
    assert [(step.age, step.share) for step in days.steps] == [
        (30.0, 0.75), (90.0, 0.5), (180.0, 0.5),
    ]  # fmt: skip
    assert (found.by_km.returned, found.by_km.running) == (1, 1)
    assert all(row.few for row in (found.whole, *found.groups))
    (fisher, curves) = found.tests
    assert fisher.name == "Fisher"
    assert fisher.p == pytest.approx(1 / 15)  # of 15 ways to choose two of six, one is so extreme
    assert curves.name == "log-rank"


def test_distance_by_the_vehicles_own_rate(shop: Ledger) -> None:
    """It ran 100 km a day before; seen 50 days later without a reading, it ran 5,000 km since."""
    at = "distance: {} km\nunit: {{number: A}}\n"
    repair(shop, "old", "", False, "2030-10-01", at.format(40_000))
    with shop.writing() as connection:
        connection.exec_driver_sql("UPDATE cases SET came_on = '2030-10-02'")
    repair(shop, "new", "", False, "2031-01-10", at.format(50_000))
    seen_running(shop, "new", "2031-03-01", "", "", HAND)
    repair(shop, "own", "", False, "2031-01-10", "distance: 50000 km\n")
    back(shop, "own", "own-again", "2031-03-01", True, "52000 km")
    found = returns_report(shop, since="2031-01-01")
    assert (found.by_km.returned, found.by_km.running) == (1, 1)
    assert [(step.age, step.at_risk) for step in found.by_km.steps] == [(5000.0, 2)]


def test_a_period_is_one_of_days_on_which_units_left(few: Ledger) -> None:
    assert returns_report(few, since="2031-01-11").whole.of == 0
    assert returns_report(few, until="2031-01-10").whole.of == 6
    nothing = returns_report(few, since="2040-01-01")
    assert (nothing.by_days.returned, nothing.tests, nothing.counts) == (0, (), ())
    told = "\n".join(line.text for line in outputs.lines("ledger-returns", nothing))
    assert told.startswith("0 of 0 repairs came back since 2040-01-01")


def test_trends_counted_by_hand(few: Ledger) -> None:
    (group,) = trends_report(few, TrendsAsked()).groups
    assert {row.name: (row.count, row.of) for row in group.origins} == {
        "bore-worn": (3, 6), "oil-wrong": (2, 6),
    }  # fmt: skip
    assert [(row.name, row.count) for row in group.parts] == [("fork", 6)]
    assert (group.unnamed.count, group.cases) == (1, 6)
    assert trends_report(few, TrendsAsked()).tests == ()  # of three nothing is tested
    by_distance = trends_report(few, TrendsAsked(by="distance")).groups
    assert {group.name: group.cases for group in by_distance} == {
        "50000-100000 km": 4, "not said": 2,
    }  # fmt: skip
    assert [g.name for g in trends_report(few, TrendsAsked(by="season")).groups] == ["winter"]
    assert [g.name for g in trends_report(few, TrendsAsked(by="drive")).groups] == ["drive=chain"]
    with pytest.raises(LedgerError, match="no case says its 'drvie'; say one of season"):
        trends_report(few, TrendsAsked(by="drvie"))
    assert trends_report(few, TrendsAsked(since="2032-01-01")).cases == 0


def test_small_numbers_say_that_they_are_small(few: Ledger) -> None:
    told = "\n".join(line.text for line in outputs.lines("ledger-returns", returns_report(few)))
    assert "33 % (2 of 6; 95 %: 10-70 %; few)" in told
    assert "Too few of different ages for a curve." in told
    assert "few: fewer than 20 cases, or counted fewer than 5 times; it says little." in told
    told = "\n".join(
        line.text for line in outputs.lines("ledger-trends", trends_report(few, TrendsAsked()))
    )
    assert "bore-worn: 50 % (3 of 6; 95 %: 19-81 %; few)" in told


# A shop that was drawn ---------------------------------------------------------------------------


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Ledger:
    ledger = make_ledger(str(tmp_path_factory.mktemp("drawn") / "shop.sqlite"), {})
    fill(ledger, 3_000, 7)
    return ledger


def test_what_was_drawn_is_found_again(drawn: Ledger) -> None:
    """Repairs put right come back less; the intervals hold what was drawn, and lie apart."""
    found = returns_report(drawn)
    rows = {row.name: row for row in found.groups}
    right = rows["origin named and put right"]
    for name, often in (
        ("origin named and put right", BACK_IF_RIGHT),
        ("origin named, left in place", BACK_IF_NOT),
        ("origin not named", BACK_IF_NOT),
    ):
        # Returns are repairs too, and none of those comes back again: fewer than were drawn.
        assert 0.7 * often < rows[name].share < 1.1 * often
    assert right.high < rows["origin not named"].low
    assert right.high < rows["origin named, left in place"].low
    assert all(test.p < 0.001 for test in found.tests)
    assert not right.few
    assert found.counts[-1].mean > found.counts[0].mean
    assert found.by_days.fit is not None


def test_what_changed_between_two_periods_is_found(drawn: Ledger) -> None:
    """An origin that was made rare in the first half grows, and differs between the halves."""
    same = trends_report(drawn, TrendsAsked(split="2028-01-01"))
    assert sum(test.p < 0.01 for test in same.tests) <= 1  # of eight, where nothing changed
    ledger = open_ledger(str(drawn.file))
    with ledger.writing() as connection:
        connection.exec_driver_sql(
            "UPDATE origins SET origin = 'linkage-misset' WHERE origin = 'bore-worn' AND"
            " \"case\" IN (SELECT id FROM cases WHERE came_on < '2028-01-01' AND id % 4 > 0)"
        )
    found = {
        (test.what.partition(",")[0].partition(":")[0], test.name): test
        for test in trends_report(ledger, TrendsAsked(split="2028-01-01")).tests
    }
    assert found["bore-worn", "Laplace"].statistic > 3
    assert found["bore-worn", "Fisher"].p < 0.001
    assert found["oil-wrong", "Fisher"].p > 0.01
    ledger.close()


def test_a_fleet_whose_repairs_come_ever_more_often(drawn: Ledger) -> None:
    found = fleet_report(drawn)
    assert found.beta is not None
    assert found.beta > 1  # drawn evenly over the distance, from 20,000 km on
    assert fleet_report(drawn, "nobody").beta is None


def test_figures_by_the_commands(drawn: Ledger, tmp_path: Path) -> None:
    def play(*words: str) -> tuple[int, str]:
        out, err = io.StringIO(), io.StringIO()
        ledger = ("--ledger", str(drawn.file))
        status = run([*words, *ledger], Terminal(out, err, io.StringIO(), width=80))
        return status, out.getvalue() or err.getvalue()

    status, told = play("ledger", "trends", "--by", "drive", "--csv")
    rows = list(csv.reader(io.StringIO(told)))
    assert (status, rows[0][0], len(rows)) == (0, "group", 17)
    status, told = play("ledger", "returns", "--json")
    assert (status, json.loads(told)["by_days"]["method"]) == (0, "as exact")
    assert play("ledger", "trends", "--fleet")[1].startswith("3000 repairs of ")
    assert play("ledger", "trends", "--since", "1.2.2031")[0] == 2
    assert list(tmp_path.iterdir()) == []
    page = tmp_path / "page.html"
    for command in ("trends", "returns", "calibrate"):
        assert play("ledger", command, "-o", str(page)) == (0, f"Written: {page}\n")
    assert "<svg" not in page.read_text()  # nothing was foretold in this shop
    assert play("ledger", "returns", "-o", str(page))[0] == 0
    assert page.read_text().count("<svg") == 10
    assert play("ledger", "trends", "--fleet", "-o", str(page))[0] == 2
    assert play("ledger", "returns", "-o", str(drawn.file), "--form", "html") == (
        2, f"headwater: {drawn.file}: is read by this very command; choose another name\n",
    )  # fmt: skip


# Size --------------------------------------------------------------------------------------------


@pytest.mark.trial
def test_a_hundred_thousand_cases(tmp_path: Path) -> None:
    """Looking for a case, a list and the figures, in CPU seconds: others use the machine too."""
    ledger = make_ledger(str(tmp_path / "large.sqlite"), {})
    fill(ledger, 100_000, 11)
    asked: dict[str, Callable[[], object]] = {
        "by its name": lambda: find_cases(ledger, "C-4711"),
        "by a unit": lambda: find_cases(ledger, "U-17"),
        "by common words": lambda: find_cases(ledger, "howls pulls"),
        "trends": lambda: trends_report(ledger, TrendsAsked("season")),
        "returns": lambda: returns_report(ledger),
    }
    cold, warm = times(asked), times(asked)
    for told in (cold, warm):
        print({name: round(seconds, 3) for name, seconds in told.items()})
    for name in ("by its name", "by a unit", "by common words"):
        assert warm[name] < 0.05, name
    for name in ("trends", "returns"):
        assert cold[name] < 3, name
        assert warm[name] < 2, name
    # What else runs on the machine only adds to it: the quietest of three goes counts.
    assert min(cost_of_a_case(ledger, go) for go in range(3)) < 4
    ledger.close()


def times(asked: dict[str, Callable[[], object]]) -> dict[str, float]:
    """Return the CPU seconds that each takes."""
    found = {}
    for name, ask in asked.items():
        begun = time.process_time()
        ask()
        found[name] = time.process_time() - begun
    return found


def cost_of_a_case(ledger: Ledger, go: int) -> float:
    """Return the time of putting a case in beside that of a bare row, at the 95th of 100 (p95)."""
    text = (ROOT / "examples" / "ridge-07.yaml").read_text(encoding="utf-8")
    bare, whole = [], []
    for number in range(100):
        begun = time.perf_counter()
        with ledger.writing() as connection:
            row = {"at": "", "who": "", "device": "", "what": "nothing"}
            connection.execute(insert(happened), row)
        middle = time.perf_counter()
        add_case(ledger, case_file_of(text, "typed"), HAND, f"case {go}-{number}")
        bare.append(middle - begun)
        whole.append(time.perf_counter() - middle)
    return sorted(whole)[94] / sorted(bare)[94]
