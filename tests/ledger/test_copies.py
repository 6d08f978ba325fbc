"""Backup in use, restore, older shapes; a look through all of it; cases of the past."""

from __future__ import annotations

import io
import json
import sqlite3
import subprocess
from pathlib import Path

import pytest
from sqlalchemy import inspect as look_at
from sqlalchemy import select, update

from headwater.cli.main import Terminal, run
from headwater.errors import HeadwaterError
from headwater.ledger.copies import back_up, restore
from headwater.ledger.door import Ledger, make_ledger, open_ledger
from headwater.ledger.kept import LedgerCase
from headwater.ledger.look import find_cases, show_case
from headwater.ledger.records import Hand, LedgerError
from headwater.ledger.sheet import COLUMNS, import_rows, read_sheet
from headwater.ledger.soundness import problems_of
from headwater.ledger.tables import META, pictures
from headwater.ledger.taken import add_case, add_pictures, case_file_of, read_case_file
from ledger.working import command, surroundings

OLD = sorted((Path(__file__).parent / "old").glob("shape-*.sql"))
HAND = Hand("a mechanic", "bench tablet")
TOLD = '  - {told: "it howls"}\n'


def rows_of(ledger: Ledger) -> dict[str, list[tuple[object, ...]]]:
    """Return all that is in a ledger."""
    with ledger.reading() as connection:
        return {
            table.name: sorted(map(tuple, connection.execute(select(table))), key=repr)
            for table in META.sorted_tables
        }


def put(ledger: Ledger, text: str) -> None:
    add_case(ledger, case_file_of(text, "typed"), HAND)


@pytest.fixture
def filled(shop: Ledger, tmp_path: Path) -> Ledger:
    """A ledger with some of everything; its second case is earlier than its first."""
    (tmp_path / "fork.jpg").write_bytes(bytes(range(256)) * 40)
    path = tmp_path / "a.yaml"
    head = "customer: rescue\nvehicle: KX 1\nunit: {number: T-1}\nphotographs: [fork.jpg]\n"
    path.write_text(f"case: a\n{head}findings:\n{TOLD}")
    given = read_case_file(path, lambda _: None)
    add_case(shop, given, HAND)
    add_pictures(shop, "a", given)
    put(shop, "case: before\nfindings:\n")
    LedgerCase(shop, "a", HAND).follow("before")
    return shop


# Backup and restore ------------------------------------------------------------------------------


def test_a_backup_restores_to_the_same(filled: Ledger, tmp_path: Path) -> None:
    counts = back_up(filled, tmp_path / "backup.sqlite")
    assert (counts["cases"], counts["findings"], counts["pictures"]) == (2, 1, 1)
    before = (tmp_path / "backup.sqlite").read_bytes()
    assert restore(tmp_path / "backup.sqlite", str(tmp_path / "new.sqlite")) == counts
    assert (tmp_path / "backup.sqlite").read_bytes() == before
    again = open_ledger(str(tmp_path / "new.sqlite"))
    assert rows_of(again) == rows_of(filled)
    assert problems_of(again) == []
    put(again, "case: c\nfindings:\n")  # numbers go on behind those that were copied
    again.close()
    left = [path.name for path in tmp_path.iterdir() if path.name.startswith(".headwater")]
    assert left == []


@pytest.mark.trial
def test_a_ledger_moves_from_one_kind_to_the_other(postgres: str, tmp_path: Path) -> None:
    from ledger.ledgers import fresh_data_base

    file = make_ledger(str(tmp_path / "shop.sqlite"), {"zone": "Etc/UTC"})
    put(file, f"case: a\ncustomer: rescue\nfindings:\n{TOLD}")
    back_up(file, tmp_path / "one.sqlite")
    address = fresh_data_base(postgres)
    restore(tmp_path / "one.sqlite", address)
    server = open_ledger(address)
    assert rows_of(server) == rows_of(file)
    put(server, "case: b\ncustomer: forestry\nfindings:\n")
    assert find_cases(server, "forest").of == 1
    back_up(server, tmp_path / "two.sqlite")
    two = open_ledger(str(tmp_path / "two.sqlite"))
    assert rows_of(two) == rows_of(server)
    for ledger in (file, server, two):
        ledger.close()


def test_nothing_is_written_over(filled: Ledger, tmp_path: Path) -> None:
    (tmp_path / "mine").write_text("mine")
    with pytest.raises(LedgerError, match="exists already; choose another name"):
        back_up(filled, tmp_path / "mine")
    assert (tmp_path / "mine").read_text() == "mine"
    with pytest.raises(LedgerError, match="there is no such folder"):
        back_up(filled, tmp_path / "no" / "folder")
    back_up(filled, tmp_path / "backup.sqlite")
    back_up(filled, tmp_path / "second.sqlite")
    with pytest.raises(LedgerError, match="is a ledger already"):
        restore(tmp_path / "backup.sqlite", str(tmp_path / "second.sqlite"))
    with pytest.raises(LedgerError, match="is no ledger"):
        restore(tmp_path / "mine", str(tmp_path / "new.sqlite"))
    assert not (tmp_path / "new.sqlite").exists()


def test_a_backup_is_made_while_others_go_on(shop: Ledger, address: str, tmp_path: Path) -> None:
    """It holds one moment: as many findings as the case says, of those added meanwhile."""
    put(shop, "case: a\nfindings:\n")
    words = command("find", address)
    with subprocess.Popen(words, env=surroundings(), stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        process.stdout.readline()
        sizes = []
        for number in range(3):
            back_up(shop, tmp_path / f"{number}.sqlite")
            copy = open_ledger(str(tmp_path / f"{number}.sqlite"))
            assert problems_of(copy) == []
            sizes.append(len(LedgerCase(copy, "a").case().findings))
            copy.close()
            process.stdout.readline()
        while len(LedgerCase(shop, "a").case().findings) <= sizes[-1]:
            assert process.stdout.readline(), "it goes on after the last backup"
        process.kill()
    assert sizes == sorted(sizes)
    assert sizes[0] >= 1
    assert len(LedgerCase(shop, "a").case().findings) > sizes[-1]


def test_a_damaged_backup_is_not_restored(filled: Ledger, tmp_path: Path) -> None:
    back_up(filled, tmp_path / "backup.sqlite")
    with sqlite3.connect(tmp_path / "backup.sqlite") as backup:
        backup.execute("DELETE FROM findings")
    backup.close()
    with pytest.raises(LedgerError, match=r"is damaged .*it says 1 findings, and has 0"):
        restore(tmp_path / "backup.sqlite", str(tmp_path / "new.sqlite"))
    assert not (tmp_path / "new.sqlite").exists()


# Older shapes ------------------------------------------------------------------------------------


def old_ledger(script: Path, folder: Path) -> Path:
    """Make a ledger as an older state of the program did."""
    path = folder / "old.sqlite"
    with sqlite3.connect(path) as connection:
        connection.executescript(script.read_text(encoding="utf-8"))
    connection.close()
    return path


@pytest.mark.parametrize("script", OLD, ids=lambda path: path.stem)
def test_an_older_shape_is_brought_into_the_newest(script: Path, tmp_path: Path) -> None:
    old = open_ledger(str(old_ledger(script, tmp_path)))
    new = make_ledger(str(tmp_path / "new.sqlite"), {})
    shapes = [
        {
            table: {column["name"]: str(column["type"]) for column in look.get_columns(table)}
            for table in look.get_table_names()
        }
        for look in (look_at(old.engine), look_at(new.engine))
    ]
    assert shapes[0] == shapes[1]
    assert problems_of(old) == []
    case = LedgerCase(old, "again").case()
    assert case.earlier_case is not None
    assert case.earlier_case.customer == "mountain rescue"
    assert [entry.told for entry in case.findings] == ["it hums again"]
    assert show_case(old, "first").pictures[0].size == 9
    put(old, "case: new\nfindings:\n")
    back_up(old, tmp_path / "backup.sqlite")
    for ledger in (old, new):
        ledger.close()


@pytest.mark.parametrize("script", OLD, ids=lambda path: path.stem)
def test_a_backup_of_an_older_shape_is_restored_and_left_as_it_is(
    script: Path, tmp_path: Path
) -> None:
    path = old_ledger(script, tmp_path)
    before = path.read_bytes()
    restore(path, str(tmp_path / "new.sqlite"))
    assert path.read_bytes() == before
    new = open_ledger(str(tmp_path / "new.sqlite"))
    assert find_cases(new, "T-1041").of == 2
    new.close()


# A look through ----------------------------------------------------------------------------------


def test_what_is_wrong_is_named(filled: Ledger) -> None:
    assert problems_of(filled) == []
    with filled.writing() as connection:
        connection.exec_driver_sql("UPDATE findings SET number = 2")
        connection.exec_driver_sql("UPDATE cases SET head = 'case: [' WHERE name = 'before'")
        connection.execute(update(pictures).values(data=b"another"))
    found = "\n".join(problems_of(filled))
    assert "case 'a' of the ledger: it says 1 findings, and has 1" in found
    assert "case 'before' of the ledger: cannot be read" in found
    assert "is not what was put in" in found


# Cases of the past -------------------------------------------------------------------------------

SHEET = """\
Job;Client;Left on;Miles;Work;Back from;Arrived
J-1;Mountain rescue;2029-03-01;52000;new fork;;2029-02-20
J-2;Mountain rescue;1.9.2029;58000 mi;bore bushed;J-1;2029-08-20
J-3;Forestry;2029-05-01;;;;
"""
WHERE = {
    "case": "Job", "customer": "Client", "out": "Left on", "distance": "Miles", "done": "Work",
    "returned": "Back from", "came": "Arrived",
}  # fmt: skip


def test_rows_of_a_sheet_become_cases_that_are_done(shop: Ledger, tmp_path: Path) -> None:
    path = tmp_path / "past.csv"
    path.write_text(SHEET)
    rows = read_sheet(path, WHERE, "mi")
    assert import_rows(shop, rows, HAND, dry=True) == 3
    assert show_nothing(shop)
    assert import_rows(shop, rows, HAND, dry=False) == 3
    with shop.reading() as connection:
        wanted = "SELECT name, out_on, since_days, round(since_km), source, state FROM cases"
        found = [tuple(row) for row in connection.exec_driver_sql(f"{wanted} ORDER BY id")]
    assert found == [
        ("J-1", "2029-03-01", None, None, "sheet", "done"),
        ("J-2", "2029-09-01", 172, 9656.0, "sheet", "done"),
        ("J-3", "2029-05-01", None, None, "sheet", "done"),
    ]
    assert show_case(shop, "J-2").earlier == "J-1"
    assert show_case(shop, "J-1").done == ("repair: unit (new fork)",)


def show_nothing(shop: Ledger) -> bool:
    with shop.reading() as connection:
        return connection.exec_driver_sql("SELECT count(*) FROM cases").scalar() == 0


def faults_of(path: Path, text: str, columns: dict[str, str], shop: Ledger) -> list[str]:
    path.write_text(text)
    with pytest.raises(HeadwaterError) as caught:
        import_rows(shop, read_sheet(path, columns), HAND, dry=False)
    assert show_nothing(shop)
    return [line.removeprefix(str(path)) for line in caught.value.lines]


def test_every_bad_row_is_told_with_its_line_and_none_goes_in(shop: Ledger, tmp_path: Path) -> None:
    path = tmp_path / "past.csv"
    text = (
        "case,out,distance,came,returned\nA,2029-03-01,far,,\n,2029-03-01,,,\nB,03/04/2029,,,\n"
        "C,2029-03-01,,2029-04-01,\nD,2029-03-01,84000,,\n"
    )
    assert [line[:9] for line in faults_of(path, text, {}, shop)] == [
        ":2:1: 'fa", ":3:1: the", ":4:1: '03", ":5:1: it ",
    ]  # fmt: skip
    text = "case,out,returned\nA,2029-03-01,\nA,2029-03-02,\nB,2029-03-01,zebra\n"
    assert faults_of(path, text, {}, shop) == [
        ":3:1: case 'A' stands further up, too; give each a name of its own",
        ":4:1: came back from 'zebra', which is neither further up nor in the ledger",
    ]
    said = faults_of(path, "Job,out\nA,2029-03-01\n", {}, shop)
    assert said == [": says nowhere which column is the 'case'; name it: --column case=HEAD"]
    said = faults_of(path, "Job,out\nA,2029-03-01\n", {"case": "Jib"}, shop)
    assert said == [": has no column 'Jib'; did you mean 'Job'?"]
    said = faults_of(path, "case,out\n", {"csae": "case"}, shop)
    assert said == ["--column: a row has no 'csae'; did you mean 'case'?"]
    assert set(WHERE) <= set(COLUMNS)


# The commands ------------------------------------------------------------------------------------


def play(*words: str) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    status = run(list(words), Terminal(out, err, io.StringIO(), width=80))
    return status, out.getvalue(), err.getvalue()


def test_upkeep_by_the_commands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HEADWATER_LEDGER", "shop.sqlite")
    play("ledger", "init")
    Path("past.csv").write_text(SHEET)
    columns = [word for what, head in WHERE.items() for word in ("--column", f"{what}={head}")]
    sheet = ("ledger", "import", "past.csv", *columns, "--miles")
    assert play(*sheet, "--dry-run")[1] == "3 rows would be put into shop.sqlite\n"
    assert play(*sheet)[1] == "3 rows were put into shop.sqlite\n"
    assert play(*sheet)[0] == 2
    assert play("ledger", "import", "past.csv", "--column", "x")[0] == 2
    status, out, _ = play("ledger", "backup", "b.sqlite")
    assert (status, out.splitlines()[0]) == (
        0, "b.sqlite holds: cases 3, findings 0, photographs 0.",
    )  # fmt: skip
    assert play("ledger", "restore", "b.sqlite", "--ledger", "n.sqlite")[0] == 0
    assert play("ledger", "check", "--ledger", "n.sqlite")[1] == "Nothing is wrong with it.\n"
    assert play("ledger", "merge", "customer", "forestry", "mountain rescue")[0] == 0
    status, out, _ = play("ledger", "erase", "forestry", "--json")
    assert (status, "cases: 3" in json.loads(out)["lines"][0]) == (0, True)
    with sqlite3.connect("shop.sqlite") as raw:
        raw.execute("UPDATE cases SET findings = 7")
    raw.close()
    assert play("ledger", "check")[0] == 1
