"""Cases in the ledger: in and out with nothing lost, and nobody writes over somebody else."""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from draws import draws
from hypothesis import given, settings
from hypothesis import strategies as st

from headwater.book.shape import Named, Ref
from headwater.book.tables import Seat
from headwater.case.casestore import case_text
from headwater.case.model import Case, CaseUnit, Done, EarlierWork, LogEntry, Result
from headwater.case.read import CaseError, parse_case, read_case
from headwater.case.store import CaseWriter, case_data, entry_line, value_of
from headwater.ledger.door import Ledger, make_ledger
from headwater.ledger.kept import LedgerCase, drop_empty
from headwater.ledger.look import find_cases, list_cases, show_case
from headwater.ledger.records import CaseState, Hand, LedgerError
from headwater.ledger.taken import (
    add_case,
    add_pictures,
    case_file_of,
    earlier_files,
    export_cases,
    read_case_file,
)
from headwater.session.comeback import earlier_case

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = sorted((ROOT / "examples").rglob("*.yaml"))
CASES = [path for path in EXAMPLES if path.read_text(encoding="utf-8").find("\nfindings:") > 0]
HAND = Hand("a mechanic", "bench tablet")
TOLD = '  - {told: "it howls"}\n'


def at(minute: int) -> datetime:
    return datetime(2031, 4, 9, 8, minute, tzinfo=UTC)


def put(ledger: Ledger, text: str) -> str:
    return add_case(ledger, case_file_of(text, "typed"), HAND, clock=lambda: at(0))


def words_of(path: Path) -> list[str]:
    said: list[str] = []
    read_case_file(path, said.append)
    return said


# In and out --------------------------------------------------------------------------------------

SIGNS = st.characters(codec="utf-8", exclude_categories=("Cs", "Cc"))
SAID = st.text(SIGNS, min_size=1, max_size=30).filter(lambda text: " ".join(text.split()) == text)
TEXT = st.just("") | SAID
WORD = st.sampled_from(["pads", "bore-float", "oil-look"])
READING = st.sampled_from(["burnt", "0.045 in", "0,045 in", "yes", "~1 mm", "1.14 ± 0.02 mm"])
ANSWER = READING | st.lists(READING, min_size=1, max_size=3).map(tuple)
ANSWERS = ANSWER | st.dictionaries(st.sampled_from(["bore", "ring"]), READING, min_size=1)
SEATS = st.none() | st.sampled_from(Seat)

ENTRIES = st.one_of(
    st.builds(
        lambda check, answer, seat, note: LogEntry(
            check=Ref(check), answer=value_of(answer), seat=seat, note=note
        ),
        WORD,
        ANSWERS,
        SEATS,
        TEXT,
    ),
    st.builds(
        lambda told, left, seat: LogEntry(told=told, unplaced=tuple(left), seat=seat),
        SAID,
        st.lists(SAID, max_size=2),
        SEATS,
    ),
    st.builds(lambda words, why: LogEntry(struck=words, note=why), SAID, SAID),
    st.just(LogEntry(rest="gone")),
    st.just(LogEntry(removed=Ref("unit-out"))),
    st.just(LogEntry(family={"drive": "chain"})),
)
NAMED = st.sampled_from(["range-fork", "alignment dowels", "the part: all of it"])
DEEDS = st.builds(lambda on, note: Done(action="replace", on=Named(on), note=note), NAMED, TEXT)
WHOLE = st.builds(
    Case,
    case=SAID,
    complaint=TEXT,
    customer=TEXT,
    phone=TEXT,
    vehicle=TEXT,
    distance=st.sampled_from(["", "84000 km", "52000 mi"]),
    photographs=st.lists(SAID, max_size=3, unique=True).map(tuple),
    unit=st.builds(
        CaseUnit,
        family=st.sampled_from([{}, {"drive": "chain", "housing": "magnesium"}]),
        number=TEXT,
        history=TEXT,
        removed=st.sampled_from([None, (), (Ref("unit-out"),)]),
    ),
    done=st.lists(DEEDS, max_size=2).map(tuple),
    outcome=st.none() | st.builds(Result, comeback=st.booleans(), after=TEXT, note=TEXT),
    before=st.none() | st.builds(EarlierWork, told=SAID, ago=TEXT, done=st.tuples(DEEDS)),
    findings=st.lists(ENTRIES, max_size=6).map(tuple),
    seat=st.sampled_from(Seat),
)


@pytest.fixture(scope="module")
def one_shop(tmp_path_factory: pytest.TempPathFactory) -> Ledger:
    return make_ledger(str(tmp_path_factory.mktemp("one") / "shop.sqlite"), {})


@settings(max_examples=draws(200))
@given(case=WHOLE, number=st.integers(0, 6))
def test_a_case_comes_out_as_it_went_in(one_shop: Ledger, case: Case, number: int) -> None:
    """By the file, and finding by finding; the record of each stage is that of a case file."""
    text = case_text(case)
    wanted = case_data(case) | ({} if case.findings else {"findings": []})
    assert case_data(parse_case(text, "a.yaml")) == wanted
    with one_shop.writing() as connection:
        for table in ("words", "findings", "happened", "case_pictures", "cases"):
            connection.exec_driver_sql(f'DELETE FROM "{table}"')
    first, later = case.findings[:number], case.findings[number:]
    begun = case_text(parse_case(text, "a.yaml")).partition("findings:\n")[0] + "findings:\n"
    name = put(one_shop, begun + "".join(map(entry_line, first)))
    with LedgerCase(one_shop, name) as kept:
        for entry in later:
            kept.append(entry_line(entry))
    again = LedgerCase(one_shop, name)
    assert again.text == text
    assert case_data(again.case()) == wanted


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_every_shipped_case_comes_out_letter_by_letter(path: Path, one_shop: Ledger) -> None:
    said: list[str] = []
    name = add_case(one_shop, read_case_file(path, said.append), HAND, f"{path.stem} {path.parent}")
    kept = LedgerCase(one_shop, name)
    assert said == []
    text = path.read_text(encoding="utf-8")
    own, ledgers = text.splitlines(), kept.text.splitlines()
    named = next(row for row in own if row.startswith("case:"))
    assert sorted(own) == sorted([*(r for r in ledgers if not r.startswith("case:")), named])
    assert case_data(kept.case()) == case_data(read_case(path)) | {"case": name}


def test_remarks_between_the_lines_come_out_too(shop: Ledger, tmp_path: Path) -> None:
    text = "# by hand\ncase: a\nfindings:\n  # first\n  - {check: pads, answer: burnt}  # black\n"
    assert put(shop, text) == "a"
    (path,) = export_cases(shop, [], tmp_path)
    assert path.read_text() == text


def test_a_file_that_cannot_be_added_to_is_written_anew(shop: Ledger, tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("case: a\nfindings: [{check: pads, answer: burnt}]\n")
    assert words_of(path) == [f"{path}: its findings are written anew, a line each"]
    name = add_case(shop, read_case_file(path, lambda _: None), HAND)
    assert case_data(LedgerCase(shop, name).case()) == case_data(read_case(path))


def test_json_comes_in(shop: Ledger, tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    data = {"case": "a", "outcome": {"comeback": True}, "findings": [{"told": "no: it # leaks"}]}
    path.write_text(json.dumps(data))
    add_case(shop, read_case_file(path, lambda _: None), HAND)
    case = LedgerCase(shop, "a").case()
    assert case.findings[0].told == "no: it # leaks"
    assert case.outcome is not None
    assert case.outcome.comeback


def test_the_same_case_is_in_once_and_another_of_its_name_is_refused(shop: Ledger) -> None:
    text = f"case: a\nfindings:\n{TOLD}"
    assert put(shop, text) == put(shop, text)
    assert list_cases(shop).of == 1
    with pytest.raises(LedgerError, match=r"goes on there.*--as NAME"):
        put(shop, "case: a\nfindings:\n")
    given = case_file_of("case: a\nfindings:\n", "typed")
    assert add_case(shop, given, HAND, "another") == "another"
    assert LedgerCase(shop, "another").case().case == "another"


# One truth ---------------------------------------------------------------------------------------


def test_finding_n_is_taken_only_behind_the_one_before(shop: Ledger) -> None:
    put(shop, "case: a\nfindings:\n")
    mine, theirs = LedgerCase(shop, "a", HAND), LedgerCase(shop, "a", HAND)
    theirs.append(TOLD)
    with pytest.raises(CaseError, match="changed by somebody else meanwhile; this is not saved"):
        mine.append('  - {told: "it leaks"}\n')
    assert LedgerCase(shop, "a").text == f"case: a\nfindings:\n{TOLD}"
    again = LedgerCase(shop, "a", HAND)
    again.append('  - {told: "it leaks"}\n')
    assert [entry.told for entry in LedgerCase(shop, "a").case().findings] == [
        "it howls", "it leaks",
    ]  # fmt: skip


def test_several_findings_are_taken_together_or_not_at_all(shop: Ledger) -> None:
    put(shop, "case: a\nfindings:\n")
    kept = LedgerCase(shop, "a")
    with pytest.raises(CaseError):
        kept.append(TOLD + "  - {check: pads, answer: burnt, corrects: 9}\n")
    assert LedgerCase(shop, "a").case().findings == ()
    kept.append(TOLD + TOLD)
    assert len(LedgerCase(shop, "a").case().findings) == 2


def test_a_case_too_large_to_be_read_is_refused(shop: Ledger) -> None:
    put(shop, "case: a\nfindings:\n")
    with pytest.raises(CaseError, match="would be larger than 4 MB, the most that is read"):
        LedgerCase(shop, "a").append(f'  - {{told: "{"x" * 4_000_000}"}}\n')


def test_file_and_ledger_keep_the_same_case(shop: Ledger, tmp_path: Path) -> None:
    """What a session does to a case comes to the same text in either place."""
    text = 'case: a\ncomplaint: "it howls"\nfindings:\n'
    with CaseWriter.create(tmp_path / "a.yaml", text) as file:
        put(shop, text)
        kept = LedgerCase(shop, "a")
        for store in (file, kept):
            store.forget_complaint()
            store.tell("before: {told: rebuilt, ago: 2 years}\n")
            store.append(TOLD)
        assert case_data(file.case()) == case_data(kept.case())
    assert (tmp_path / "a.yaml").read_text() == kept.text


def test_who_did_what_when_and_where(shop: Ledger) -> None:
    put(shop, "case: a\nfindings:\n")
    LedgerCase(shop, "a", HAND, lambda: at(5)).append(TOLD)
    LedgerCase(shop, "a", Hand("the counter", "phone"), lambda: at(7)).tell("customer: rescue\n")
    log = [(row.at, row.who, row.device, row.what) for row in show_case(shop, "a").log]
    assert log == [
        ("2031-04-09 08:00", "a mechanic", "bench tablet", "put into the ledger"),
        ("2031-04-09 08:05", "a mechanic", "bench tablet", "finding 1"),
        ("2031-04-09 08:07", "the counter", "phone", "told more"),
    ]


def test_times_are_those_of_the_shop(tmp_path: Path) -> None:
    ledger = make_ledger(str(tmp_path / "east.sqlite"), {"zone": "Asia/Kathmandu"})
    put(ledger, "case: a\nfindings:\n")
    assert show_case(ledger, "a").row.opened == "2031-04-09 13:45"
    with ledger.reading() as connection:
        assert connection.exec_driver_sql("SELECT opened FROM cases").scalar() == (
            "2031-04-09T08:00:00Z"
        )


def test_an_empty_beginning_goes_and_the_log_says_so(shop: Ledger) -> None:
    put(shop, "case: a\nfindings:\n")
    drop_empty(shop, "a", HAND)
    assert list_cases(shop).of == 0
    with shop.reading() as connection:
        told = list(connection.exec_driver_sql("SELECT what FROM happened").scalars())
    assert told == ["'a' was begun and left empty"]
    put(shop, f"case: a\nfindings:\n{TOLD}")
    with pytest.raises(CaseError, match="has findings, and stays"):
        drop_empty(shop, "a", HAND)


# Three things, and looking for them --------------------------------------------------------------

WHOSE = "customer: Mountain rescue\nphone: 555-0117\nvehicle: KX 12-345\nunit: {number: T-1041}\n"


def test_a_case_is_found_by_whose_which_and_what(shop: Ledger) -> None:
    put(shop, f"case: a\n{WHOSE}complaint: Öl tropft vom Gehäuse\nfindings:\n{TOLD}")
    put(shop, "case: b\nvehicle: KX 99-999\nfindings:\n")
    for words in (
        "mountain", "rescue mount", "5550117", "555 0117", "kx12345", "KX 12-345", "T-1041",
        "t1041", "ol tropft", "gehause", "howl", "a howls",
    ):  # fmt: skip
        found = [row.case for row in find_cases(shop, words).rows]
        assert "a" in found, words
    assert [row.case for row in find_cases(shop, "KX").rows] == ["b", "a"]
    assert find_cases(shop, "t1042").rows == ()
    assert find_cases(shop, "'; drop table cases; --").rows == ()
    with pytest.raises(LedgerError, match="name a customer, phone, plate"):
        find_cases(shop, " ; ")


def test_customer_vehicle_and_unit_are_three_things(shop: Ledger) -> None:
    """A unit moves into another vehicle, whose owner has two: nothing is counted twice."""
    put(shop, f"case: a\n{WHOSE}findings:\n")
    moved = WHOSE.replace("KX 12-345", "KX 99").replace("T-1041", "t 1041")
    put(shop, f"case: b\n{moved}findings:\n")
    other = "customer: mountain  rescue\nvehicle: kx12345\nunit: {number: T-9}\n"
    put(shop, f"case: c\n{other}findings:\n")
    with shop.reading() as connection:
        for table, count in {"customers": 1, "vehicles": 2, "units": 2}.items():
            assert connection.exec_driver_sql(f"SELECT count(*) FROM {table}").scalar() == count
    assert show_case(shop, "a").others == ("b",)
    assert show_case(shop, "c").others == ()


def test_what_is_told_later_is_found_too(shop: Ledger) -> None:
    put(shop, "case: a\nfindings:\n")
    kept = LedgerCase(shop, "a")
    kept.tell(WHOSE)
    kept.append('  - {told: "the lamp flickers"}\n')
    assert find_cases(shop, "flicker").of == find_cases(shop, "T1041").of == 1
    assert show_case(shop, "a").row.unit == "T-1041"


def test_lists_show_the_last_changed_first(shop: Ledger) -> None:
    for number, name in enumerate(("a", "b", "c")):
        text = f"case: {name}\nfindings:\n"
        add_case(shop, case_file_of(text, "x"), HAND, clock=lambda n=number: at(n))  # type: ignore[misc]
    LedgerCase(shop, "a", HAND, lambda: at(9)).append(TOLD)
    assert [row.case for row in list_cases(shop).rows] == ["a", "c", "b"]
    assert [row.case for row in list_cases(shop, most=1).rows] == ["a"]
    assert list_cases(shop, [CaseState.DONE]).of == 0


# Photographs and earlier cases -------------------------------------------------------------------


def test_photographs_are_kept_once_by_what_they_show(shop: Ledger, tmp_path: Path) -> None:
    for name in ("one.jpg", "two.jpg"):
        (tmp_path / name).write_bytes(b"the same picture")
    for name in ("a", "b"):
        path = tmp_path / f"{name}.yaml"
        path.write_text(f"case: {name}\nphotographs: [one.jpg, two.jpg, lost.jpg]\nfindings:\n")
        given = read_case_file(path, lambda _: None)
        add_case(shop, given, HAND)
        assert add_pictures(shop, name, given) == ("lost.jpg",)
    with shop.reading() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM pictures").scalar() == 1
    digest = hashlib.sha256(b"the same picture").hexdigest()
    shown = [(one.name, one.digest) for one in show_case(shop, "b").pictures]
    assert shown == [("one.jpg", digest), ("two.jpg", digest), ("lost.jpg", "")]
    (tmp_path / "out").mkdir()
    export_cases(shop, ["b"], tmp_path / "out")
    assert (tmp_path / "out" / "two.jpg").read_bytes() == b"the same picture"


def test_a_case_fetches_no_picture_from_elsewhere(shop: Ledger, tmp_path: Path) -> None:
    (tmp_path / "secret").write_text("secret")
    folder = tmp_path / "cases"
    folder.mkdir()
    (folder / "link.jpg").symlink_to(tmp_path / "secret")
    names = ["../secret", str(tmp_path / "secret"), "link.jpg", ".", "x" * 300]
    path = folder / "a.yaml"
    path.write_text(f"case: a\nphotographs: {json.dumps(names)}\nfindings:\n")
    given = read_case_file(path, lambda _: None)
    add_case(shop, given, HAND)
    assert add_pictures(shop, "a", given) == tuple(names)


def test_a_file_that_a_session_has_open_stays_where_it_is(shop: Ledger, tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    with (
        CaseWriter.create(path, "case: a\nfindings:\n"),
        pytest.raises(LedgerError, match="is open in another session; close that one first"),
    ):
        read_case_file(path, lambda _: None)
    add_case(shop, read_case_file(path, lambda _: None), HAND)


def test_an_earlier_case_comes_with_its_file_and_is_known_from_then_on(
    shop: Ledger, tmp_path: Path
) -> None:
    (tmp_path / "old.yaml").write_text("case: first time\nfindings:\n")
    (tmp_path / "new.yaml").write_text("case: again\nearlier: old.yaml\nfindings:\n")
    given = read_case_file(tmp_path / "new.yaml", lambda _: None)
    for one in (*earlier_files(given, lambda _: None), given):
        add_case(shop, one, HAND)
    (tmp_path / "old.yaml").unlink()
    assert earlier_case(LedgerCase(shop, "again").case()).case == "first time"
    assert show_case(shop, "first time").returns == ("again",)
    assert show_case(shop, "again").earlier == "first time"


def test_a_case_that_names_itself_as_the_earlier_one_ends(shop: Ledger, tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(f"case: a\nearlier: {'x' * 300}\nfindings:\n")
    assert list(earlier_files(read_case_file(tmp_path / "a.yaml", print), print)) == []
    (tmp_path / "a.yaml").write_text("case: a\nearlier: a.yaml\nfindings:\n")
    given = read_case_file(tmp_path / "a.yaml", lambda _: None)
    assert list(earlier_files(given, lambda _: None)) == []
    add_case(shop, given, HAND)
    assert LedgerCase(shop, "a").case().earlier_case is None


def test_a_case_follows_another_of_the_ledger(shop: Ledger) -> None:
    put(shop, "case: first/time\nfindings:\n")
    put(shop, "case: again\nfindings:\n")
    LedgerCase(shop, "again").follow("first/time")
    case = LedgerCase(shop, "again").case()
    assert (case.earlier, earlier_case(case).case) == ("first-time.yaml", "first/time")


def test_nothing_is_written_over_by_an_export(shop: Ledger, tmp_path: Path) -> None:
    put(shop, "case: a\nfindings:\n")
    put(shop, "case: b\nfindings:\n")
    (tmp_path / "b.yaml").write_text("mine")
    with pytest.raises(Exception, match="exists already"):
        export_cases(shop, [], tmp_path)
    assert sorted(path.name for path in tmp_path.glob("*.yaml")) == ["b.yaml"]
    put(shop, "case: a/x\nfindings:\n")
    put(shop, "case: a-x\nfindings:\n")
    with pytest.raises(LedgerError, match="would have one file name; export it by itself"):
        export_cases(shop, ["a/x", "a-x"], tmp_path)


def test_an_unknown_case_is_said_to_be_so(shop: Ledger) -> None:
    with pytest.raises(LedgerError, match="there is no case 'zebra'; 'headwater ledger list'"):
        LedgerCase(shop, "zebra")
