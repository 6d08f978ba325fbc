"""Price lists with a day: which one counts, and what is said where that cannot be told."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from planning.conftest import EXAMPLES, Play

from headwater.book.records import Book
from headwater.case.read import parse_case
from headwater.case.store import entry_line
from headwater.errors import HeadwaterError
from headwater.session.pricelist import prices_on
from headwater.verdict.prices import Prices

FOLDER = EXAMPLES / "price-folder"
DAY = date(2026, 3, 31)


def listed(folder: Path, name: str, since: str = "", labour: str = "60.00") -> Path:
    """Write a price list, with a day where one is named."""
    dated = f"valid-from: {since}\n" if since else ""
    text = f"prices: {name}\n{dated}currency: EUR\nlabour: {labour}\nparts: {{}}\n"
    (folder / f"{name}.yaml").write_text(text)
    return folder / f"{name}.yaml"


def refused(where: Path, book: Book, day: date = DAY) -> tuple[str, ...]:
    with pytest.raises(HeadwaterError) as caught:
        prices_on(where, book, day)
    assert all("\n" not in line for line in caught.value.lines)
    return tuple(line.replace(f"{where}/", "") for line in caught.value.lines)


@pytest.mark.parametrize(
    ("day", "name"),
    [
        ("2026-01-05", "winter"),
        ("2026-03-31", "winter"),
        ("2026-04-01", "spring"),
        ("2031-01-01", "spring"),
    ],
)
def test_the_last_list_whose_day_has_come_counts(day: str, name: str, book: Book) -> None:
    found = prices_on(FOLDER, book, date.fromisoformat(day))
    assert found.prices.startswith(f"{name} list")


def test_a_list_without_a_day_counts_until_the_first_dated_one(tmp_path: Path, book: Book) -> None:
    listed(tmp_path, "always")
    listed(tmp_path, "dated", "2026-03-31")
    assert prices_on(tmp_path, book, date(1999, 1, 1)).prices == "always"
    assert prices_on(tmp_path, book, DAY).prices == "dated"


def test_one_file_is_a_list_as_ever(tmp_path: Path, book: Book) -> None:
    assert prices_on(listed(tmp_path, "a"), book, date(1999, 1, 1)).valid_from is None
    assert prices_on(listed(tmp_path, "b", "2026-03-31"), book, DAY).valid_from == DAY


def test_what_else_lies_in_the_folder_is_no_list(tmp_path: Path, book: Book) -> None:
    listed(tmp_path, "a")
    (tmp_path / ".hidden.yaml").write_text("- no list\n")
    (tmp_path / "notes.txt").write_text("call the dealer\n")
    assert prices_on(tmp_path, book, DAY).prices == "a"


@pytest.mark.parametrize("since", ["1st of May", "2026-02-30", "20260301", "2026", "2026.5", "[1]"])
def test_a_day_that_cannot_be_read_is_one_line(since: str, tmp_path: Path, book: Book) -> None:
    (line,) = refused(listed(tmp_path, "a", since), book)
    shown = "this" if since == "[1]" else since
    assert line.endswith(
        f"a.yaml:2:13: '{shown}' is no day; write year, month and day as 2026-03-02"
    )


def test_two_lists_of_one_day_are_refused_with_both_names(tmp_path: Path, book: Book) -> None:
    for name in "ab":
        listed(tmp_path, name, "2026-01-01")
    (line,) = refused(tmp_path, book)
    assert line.startswith("b.yaml: valid from 2026-01-01 on, as is ")
    assert line.endswith("a.yaml; give one of them another 'valid-from'")
    for name in "ab":
        listed(tmp_path, name)
    assert refused(tmp_path, book)[0].startswith("b.yaml: without a day, as is ")


def test_two_lists_of_a_day_to_come_are_refused_before_it_comes(tmp_path: Path, book: Book) -> None:
    """Or the pages would stop in the morning of that day, with nobody about who knows why."""
    listed(tmp_path, "now")
    for name in "ab":
        listed(tmp_path, name, "2099-01-01")
    assert refused(tmp_path, book)[0].startswith("b.yaml: valid from 2099-01-01 on")


@pytest.mark.parametrize("whole", [True, False])
def test_no_list_that_is_valid_yet(whole: bool, tmp_path: Path, book: Book) -> None:
    path = listed(tmp_path, "a", "2026-04-01")
    listed(tmp_path, "b", "2026-05-01")
    (line,) = refused(tmp_path if whole else path, book)
    assert "no price list is valid on 2026-03-31 yet, the first one from 2026-04-01 on" in line


def test_a_folder_without_lists(tmp_path: Path, book: Book) -> None:
    (line,) = refused(tmp_path, book)
    assert line.endswith("no price list lies here; 'headwater prices new' begins one")


def test_the_faults_of_all_lists_are_told_at_once(tmp_path: Path, book: Book) -> None:
    listed(tmp_path, "a", "soon")
    listed(tmp_path, "b", labour="much")
    assert [line.partition(":")[0] for line in refused(tmp_path, book)] == ["a.yaml", "b.yaml"]


def test_lists_are_read_once_until_their_text_changes(tmp_path: Path, book: Book) -> None:
    known: dict[tuple[str, str], Prices] = {}
    path = listed(tmp_path, "a")
    first = prices_on(tmp_path, book, DAY, known)
    assert prices_on(tmp_path, book, DAY, known) is first
    listed(tmp_path, "a", labour="61.00")
    assert prices_on(tmp_path, book, DAY, known).labour == 61.0
    path.rename(tmp_path / "b.yaml")
    assert prices_on(tmp_path, book, DAY, known).place.file.endswith("b.yaml")
    assert len(known) == 1, "what lies there no more is not kept"


def test_the_options_name_the_day_of_their_list(play: Play) -> None:
    words = ("options", "examples/ridge-07.yaml", "--prices")
    _, out, _ = play(*words, "examples/price-folder")
    assert "  Prices of 2026-04-01: spring list of an invented rebuild shop, in EUR" in out
    _, out, _ = play(*words, "examples/price-folder", "--json")
    assert '"valid_from": "2026-04-01"' in out
    _, out, _ = play(*words, "examples/prices/winter-list.yaml")
    assert "  Prices: winter list of an invented rebuild shop, in EUR" in out


def test_the_sums_of_a_quote_come_out_of_a_case_file_as_they_went_in() -> None:
    told = "{amount: 6 EUR, by: Ada, how: phone, on: 2026-03-02, sums: {material: 5.00 EUR}}"
    (entry,) = parse_case(f"case: a\nfindings:\n  - {{approved: {told}}}\n", "a.yaml").findings
    assert entry.approved is not None
    assert entry.approved.sums == {"material": "5.00 EUR"}
    again = parse_case(f"case: a\nfindings:\n{entry_line(entry)}", "a.yaml").findings[0].approved
    assert again is not None
    assert again.sums == entry.approved.sums
