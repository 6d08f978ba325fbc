"""What was done, warranty, returns, states; units that are seen again or gone; people erased."""

from __future__ import annotations

import io
import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from small_book import write_book

from headwater.cli.ledgercommands import GONE as TOLD_GONE
from headwater.cli.ledgercommands import STATES
from headwater.cli.main import Terminal, run
from headwater.ledger.conclude import Conclusion
from headwater.ledger.door import Ledger, open_ledger
from headwater.ledger.kept import LedgerCase
from headwater.ledger.look import find_cases, list_cases, show_case
from headwater.ledger.outcome import (
    GONE,
    CameBack,
    Handed,
    finish,
    mark_case,
    read_deed,
    returned,
    seen_running,
)
from headwater.ledger.people import erase_customer, merge
from headwater.ledger.records import CaseState, Hand, LedgerError, OriginDone
from headwater.ledger.taken import add_case, case_file_of
from headwater.ledger.warranty import Limits, WarrantyTerm, limits_of, read_term, standing_words

HAND = Hand("a mechanic", "bench tablet")
WHOSE = "customer: Mountain rescue\nphone: 555-0117\nvehicle: KX 12\nunit: {number: T-1041}\n"
HEAD = f"case: first\n{WHOSE}distance: 84000 km\nfindings:\n"
NAMED = OriginDone("bore-worn", "bore worn", "proven", 0.99, True)
FOUND = Conclusion("settled", "drive=chain", (NAMED,), (("pads-burnt", "fork"),), "Passed.")


def clock() -> datetime:
    return datetime(2031, 4, 9, 8, tzinfo=UTC)


def put(ledger: Ledger, text: str) -> None:
    add_case(ledger, case_file_of(text, "typed"), HAND, clock=clock)


def done(ledger: Ledger, name: str, on: str = "2031-04-09", warranty: str = "") -> str:
    kept = LedgerCase(ledger, name, HAND, clock)
    deeds = [read_deed("replace: range fork")]
    return finish(ledger, kept, deeds, FOUND, Handed(on, "", warranty), clock).until


def back(ledger: Ledger, earlier: str, name: str, on: str, distance: str = "") -> str:
    told = CameBack(on, distance, "it howls again", True)
    return returned(ledger, earlier, name, told, HAND, clock).warranty


def setting(ledger: Ledger, **told: str) -> None:
    with ledger.writing() as connection:
        for key, value in told.items():
            row = {"key": key.replace("_", "-"), "value": value}
            connection.exec_driver_sql(
                f"INSERT INTO about VALUES ('{row['key']}', '{row['value']}')"
            )


# Done --------------------------------------------------------------------------------------------


def test_what_was_done_stands_in_the_case_and_what_it_came_to_beside_it(shop: Ledger) -> None:
    put(shop, HEAD)
    done(shop, "first")
    case = LedgerCase(shop, "first").case()
    assert [(one.action, str(one.on)) for one in case.done] == [("replace", "range fork")]
    card = show_case(shop, "first")
    assert (card.row.state, card.done) == (CaseState.DONE, ("replace: range fork",))
    with shop.reading() as connection:
        kept = connection.exec_driver_sql("SELECT origin, naming, corrected FROM origins").all()
        hurt = connection.exec_driver_sql("SELECT condition, part FROM damages").all()
        left = connection.exec_driver_sql("SELECT out_on, out_km, ending FROM cases").one()
    assert [tuple(row) for row in kept] == [("bore-worn", "proven", True)]
    assert [tuple(row) for row in hurt] == [("pads-burnt", "fork")]
    assert tuple(left) == ("2031-04-09", 84000.0, "settled")


def test_done_again_replaces_what_it_came_to_and_keeps_the_day(shop: Ledger) -> None:
    put(shop, HEAD)
    done(shop, "first", "2031-03-01")
    done(shop, "first", "")
    with shop.reading() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM origins").scalar() == 1
        assert connection.exec_driver_sql("SELECT out_on FROM cases").scalar() == "2031-03-01"


@pytest.mark.parametrize("text", ["range fork", "replace:", ": range fork", ""])
def test_a_deed_is_an_action_and_a_part(text: str) -> None:
    with pytest.raises(LedgerError, match="must be written ACTION: PART"):
        read_deed(text)


# Warranty ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "term"),
    [
        ("", WarrantyTerm()),
        ("none", WarrantyTerm()),
        ("12 months", WarrantyTerm(12)),
        ("2 years, 20000 km", WarrantyTerm(24, 20000.0)),
        ("10000 mi", WarrantyTerm(None, 16093.44)),
    ],
)
def test_terms(text: str, term: WarrantyTerm) -> None:
    assert read_term(text) == term


@pytest.mark.parametrize("text", ["long", "12", "12 months and more", "12 days"])
def test_what_is_no_term(text: str) -> None:
    with pytest.raises(LedgerError, match="is no term of a warranty; write months or years"):
        read_term(text)


def test_a_term_ends_by_time_or_by_distance() -> None:
    limits = limits_of(read_term("12 months, 20000 km"), "2031-04-09", 84000.0)
    assert limits == Limits("2032-04-09", 104000.0)
    assert limits_of(read_term("12 months, 20000 km"), "2031-04-09", None) == Limits("2032-04-09")
    last_day = standing_words(limits, "2032-04-09", 104000.0)
    assert last_day == (
        "within the term by date (2032-04-09); within the term by distance (104000 km)"
    )
    assert standing_words(limits, "2032-04-10", 90000.0).startswith("past the term by date")
    assert "past the term by distance" in standing_words(limits, "2031-05-01", 104001.0)
    assert "cannot be told" in standing_words(limits, "2031-05-01", None)
    assert standing_words(Limits(), "2031-05-01", None) == "no term of a warranty was written down"


def test_a_term_runs_from_the_repair_or_anew_from_the_return(shop: Ledger) -> None:
    setting(shop, warranty="12 months, 20000 km", warranty_from="repair")
    put(shop, HEAD)
    assert done(shop, "first") == "2032-04-09 or 104000 km"
    said = back(shop, "first", "again", "2031-10-09", "90000 km")
    assert said.startswith("within the term by date (2032-04-09); within the term by distance")
    assert done(shop, "again", "2031-10-12") == "2032-04-09 or 104000 km"
    with shop.writing() as connection:
        connection.exec_driver_sql("UPDATE about SET value = 'return' WHERE key = 'warranty-from'")
    back(shop, "again", "third", "2032-04-01", "95000 km")
    assert done(shop, "third", "2032-04-02") == "2033-04-02 or 115000 km"
    assert done(shop, "third", "2032-04-02", "none") == ""


# Returned ----------------------------------------------------------------------------------------


def test_a_return_opens_a_case_that_knows_the_earlier_one(shop: Ledger) -> None:
    put(shop, HEAD)
    done(shop, "first")
    told = CameBack("2031-06-09", "91000 km", "it howls again", False)
    come = returned(shop, "first", "again", told, HAND, clock)
    assert (come.days, come.km, come.same, come.work_known) == (61, 7000.0, False, True)
    case = LedgerCase(shop, "again").case()
    assert case.earlier_case is not None
    assert [str(one.on) for one in case.earlier_case.done] == ["range fork"]
    assert (case.customer, case.vehicle, case.unit.number) == (
        "Mountain rescue", "KX 12", "T-1041",
    )  # fmt: skip
    assert (case.complaint, case.distance) == ("it howls again", "91000 km")
    outcome = LedgerCase(shop, "first").case().outcome
    assert outcome is not None
    assert (outcome.comeback, outcome.after, outcome.note) == (True, "7000 km", "it howls again")
    assert show_case(shop, "first").returns == ("again",)
    with shop.reading() as connection:
        columns = "earlier, since_days, since_km, same, came_on"
        row = connection.exec_driver_sql(f"SELECT {columns} FROM cases WHERE name = 'again'").one()
    assert tuple(row) == (1, 61, 7000.0, False, "2031-06-09")


def test_what_cannot_have_come_back_so_is_refused(shop: Ledger) -> None:
    put(shop, HEAD)
    put(shop, "case: other\nfindings:\n")
    for name, on, distance, fault in (
        ("first", "2031-06-09", "", "is not done yet; 'headwater ledger done first'"),
        ("second", "2031-06-09", "", "there is no case 'second'"),
    ):
        with pytest.raises(LedgerError, match=fault):
            back(shop, name, "again", on, distance)
    done(shop, "first")
    for on, distance, name, fault in (
        ("2031-04-08", "", "again", "came back before it left"),
        ("2031-06-09", "83000 km", "again", "came back before it left"),
        ("2031-06-09", "far", "again", "distance: "),
        ("2031-06-09", "", "other", "is in the ledger already"),
    ):
        with pytest.raises(LedgerError, match=fault):
            back(shop, "first", name, on, distance)
    assert list_cases(shop).of == 2


# States ------------------------------------------------------------------------------------------


def test_the_words_of_the_command_line_are_those_of_the_ledger() -> None:
    assert tuple(state.value for state in CaseState) == STATES
    assert GONE == TOLD_GONE


def test_a_case_waits_for_somebody_and_is_archived_and_opened_again(shop: Ledger) -> None:
    put(shop, HEAD)
    with pytest.raises(LedgerError, match="say for whom or what it waits: --for WHOM"):
        mark_case(shop, "first", CaseState.WAITING, "", HAND, clock)
    with pytest.raises(LedgerError, match="say what was done: 'headwater ledger done first'"):
        mark_case(shop, "first", CaseState.DONE, "", HAND, clock)
    mark_case(shop, "first", CaseState.WAITING, "the customer", HAND, clock)
    (row,) = list_cases(shop, [CaseState.WAITING]).rows
    assert (row.state, row.waits_for) == (CaseState.WAITING, "the customer")
    mark_case(shop, "first", CaseState.ARCHIVED, "", HAND, clock)
    assert list_cases(shop).of == 0
    assert find_cases(shop, "T-1041").of == list_cases(shop, [CaseState.ARCHIVED]).of == 1
    mark_case(shop, "first", CaseState.OPEN, "", HAND, clock)
    assert list_cases(shop).of == 1
    told = [row.what for row in show_case(shop, "first").log]
    assert told == ["put into the ledger", "waiting for the customer", "archived", "open"]


def test_a_unit_is_seen_running_or_is_gone(shop: Ledger) -> None:
    put(shop, HEAD)
    with pytest.raises(LedgerError, match="is not done yet"):
        seen_running(shop, "first", "2031-06-01", "", "", HAND)
    done(shop, "first")
    with pytest.raises(LedgerError, match="left on 2031-04-09, after that day"):
        seen_running(shop, "first", "2031-04-01", "", "", HAND)
    seen_running(shop, "first", "2031-06-01", "90000 km", "", HAND)
    seen_running(shop, "first", "2031-09-01", "", "sold", HAND)
    with shop.reading() as connection:
        rows = connection.exec_driver_sql('SELECT "on", km, gone FROM sightings ORDER BY id').all()
    assert [tuple(row) for row in rows] == [
        ("2031-06-01", 90000.0, ""), ("2031-09-01", None, "sold"),
    ]  # fmt: skip


# People ------------------------------------------------------------------------------------------


def test_a_person_is_erased_and_what_was_learnt_stays(shop: Ledger) -> None:
    put(shop, HEAD)
    done(shop, "first")
    back(shop, "first", "again", "2031-06-09")
    assert erase_customer(shop, "mountain rescue", HAND) == ["first", "again"]
    for name in ("first", "again"):
        assert "rescue" not in LedgerCase(shop, name).text.lower()
        assert "555" not in LedgerCase(shop, name).text
        assert show_case(shop, name).row.customer == ""
    assert find_cases(shop, "rescue").of == find_cases(shop, "5550117").of == 0
    assert find_cases(shop, "T-1041").of == 2
    with shop.reading() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM origins").scalar() == 1
        assert connection.exec_driver_sql("SELECT name, phone FROM customers").one() == ("", "")
    with pytest.raises(LedgerError, match="there is no customer 'mountain rescue'"):
        erase_customer(shop, "mountain rescue", HAND)
    put(shop, HEAD.replace("first", "later"))
    assert show_case(shop, "later").row.customer == "Mountain rescue"


def test_a_person_who_is_erased_goes_from_what_they_approved(shop: Ledger) -> None:
    put(shop, HEAD)
    given = "{approved: {amount: 5 EUR, by: %s, how: phone, on: 2031-04-09}}"
    case = LedgerCase(shop, "first", HAND)
    case.append("".join(f"  - {given % who}\n" for who in ("Mountain  Rescue", "Ada North")))
    erase_customer(shop, "mountain rescue", HAND)
    approved = [entry.approved for entry in LedgerCase(shop, "first").case().findings]
    told = [(one.amount, one.by) for one in approved if one]
    assert told == [("5 EUR", "a customer who was erased"), ("5 EUR", "Ada North")]


def test_two_that_are_one_are_put_together_by_hand(shop: Ledger) -> None:
    put(shop, HEAD)
    put(shop, HEAD.replace("first", "second").replace("T-1041", "T1O41"))
    assert show_case(shop, "first").others == ()
    assert merge(shop, "unit", "T-1041", "T1O41", HAND) == 1
    assert show_case(shop, "first").others == ("second",)
    with pytest.raises(LedgerError, match="there is no unit 'T1O41'"):
        merge(shop, "unit", "T-1041", "T1O41", HAND)
    with pytest.raises(LedgerError, match="are one already"):
        merge(shop, "unit", "T-1041", "t 1041", HAND)


# The commands ------------------------------------------------------------------------------------


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HEADWATER_LEDGER", "shop.sqlite")
    write_book(tmp_path / "small")
    return tmp_path


def play(*words: str) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    status = run(list(words), Terminal(out, err, io.StringIO(), width=80))
    return status, out.getvalue(), err.getvalue()


PROVEN = """\
case: R-1
unit: {family: {drive: chain}}
distance: 84000 km
findings:
  - {check: pads, answer: burnt}
  - {check: bore-float, answer: 0.9 mm}
"""


def test_what_was_really_done_is_held_against_the_plan(folder: Path) -> None:
    assert play("ledger", "init", "--warranty", "12 months")[0] == 0
    (folder / "r.yaml").write_text(PROVEN)
    play("ledger", "add", "r.yaml")
    book = ("--book", "small", "--on", "2031-04-09")
    status, out, _ = play("ledger", "done", "R-1", "--did", "replace: range fork", *book)
    assert status == 1
    assert "front bore worn (proven): left in place" in out
    status, out, _ = play("ledger", "done", "R-1", "--as-planned", *book)
    assert status == 0
    assert "front bore worn (proven): corrected" in out
    assert "Warranty until 2032-04-09." in out
    status, _, err = play("ledger", "done", "R-1", "--did", "polish: fork", *book)
    assert status == 2
    assert err.startswith("headwater: --did: 'polish' is not something done to a part")
    back = ("ledger", "returned", "R-1", "R-2", "--on", "2031-06-01", "--same", "--json")
    status, out, _ = play(*back)
    told = json.loads(out)
    assert (status, told["days"], told["same"]) == (0, 53, True)
    _, out, _ = play("audit", "R-2", "--book", "small")
    assert "It came back: earlier case R-1" in out
    assert "front housing" in out or "front bore: machine" in out
    ledger = open_ledger("shop.sqlite")
    with ledger.reading() as connection:
        wanted = "SELECT origin, naming, corrected FROM origins WHERE naming <> 'open'"
        rows = connection.exec_driver_sql(wanted).all()
    ledger.close()
    assert [tuple(row) for row in rows] == [("bore-worn", "proven", 1)]
    assert play("ledger", "mark", "R-2", "ordered")[0] == 0
    assert play("ledger", "seen", "R-1")[0] == 2
    assert play("ledger", "seen", "R-1", "--on", "2031-06-01")[0] == 0
    assert play("ledger", "seen", "R-1", "--on", "1.6.2031")[0] == 2


def test_faults_of_a_case_are_told_before_it_is_done(folder: Path) -> None:
    play("ledger", "init")
    (folder / "r.yaml").write_text("case: R-1\nfindings:\n  - {check: zebra, answer: x}\n")
    play("ledger", "add", "r.yaml")
    status, _, err = play("ledger", "done", "R-1", "--book", "small")
    assert status == 2
    assert "zebra" in err
