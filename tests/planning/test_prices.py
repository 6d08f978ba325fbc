"""The price file: read strictly, every figure checked, nothing invented."""

from __future__ import annotations

import pytest

from headwater.book.records import Book
from headwater.book.tables import Verb
from headwater.errors import HeadwaterError
from headwater.session.pricelist import parse_prices
from headwater.verdict.prices import Prices

HEAD = "prices: list\ncurrency: EUR\nlabour: 60.00\n"


def read(text: str, book: Book) -> Prices:
    return parse_prices(text, "list.yaml", book)


def test_a_short_list_knows_only_what_it_says(book: Book) -> None:
    found = read(HEAD + "parts: {chain: 165.00}\nsundries: {shim: 6.00}\n", book)
    assert found.material(Verb.REPLACE, "chain") == 165.0
    assert found.material(Verb.SCRAP, "range-fork") is None
    assert found.material(Verb.REFILL, "oil") is None
    assert found.material(Verb.SHIM, "input-bearing") == 6.0
    assert found.material(Verb.INSPECT, "range-hub") == 0.0
    assert found.work(90) == 90.0
    assert found.exchange is None


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        (
            "parts: {chian: 1.00}\n",
            ":4:9: the book knows no part 'chian'; did you mean 'chain' (drive chain)?",
        ),
        ("parts: {chain: -1.00}\n", "the price of 'chain' cannot be -1; write 0 or more"),
        ("parts: {chain: cheap}\n", "list.yaml:4:16: a number is expected here"),
        ("parts: {}\nsundries: {shimm: 1}\n", "nothing is done by 'shimm'; did you mean 'shim'?"),
        ("parts: {}\nexchange: {price: 1}\n", "'minutes' is missing in this exchange"),
        ("parts: {}\nexchange: {price: 1, minutes: -3}\n", "the minutes of the exchange unit"),
        ("parts: {}\nrebate: 10\n", "a price list has no 'rebate'"),
        ("", "'parts' is missing in this price list"),
        ("parts: {chain: 2000000000}\n", "'chain' cannot be 2e+09; write 1000000000 at most"),
    ],
)
def test_a_fault_is_one_line_with_its_place(text: str, fault: str, book: Book) -> None:
    with pytest.raises(HeadwaterError) as caught:
        read(HEAD + text, book)
    assert fault in str(caught.value)
    assert str(caught.value).startswith("list.yaml")
    assert "\n" not in str(caught.value)


def test_a_list_may_price_parts_of_other_unit_families(book: Book) -> None:
    assert book.parts["rear-flange"].when
    assert read(HEAD + "parts: {rear-flange: 75.00}\n", book).parts == {"rear-flange": 75.0}


def test_all_faults_of_a_list_are_told_at_once(book: Book) -> None:
    with pytest.raises(HeadwaterError) as caught:
        read(HEAD + "parts: {chian: 1, chain: -3}\nsundries: {shimm: 1}\n", book)
    told = caught.value.lines
    assert [line.rpartition("list.yaml:")[2].partition(": ")[2][:22] for line in told] == [
        "the book knows no part",
        "the price of 'chain' c",
        "nothing is done by 'sh",
    ]


def test_the_words_of_the_plan_are_good_for_a_price(book: Book) -> None:
    """What a job sheet prints can be typed into the list; an id and other words can, too."""
    rows = "".join(f"  {record.title.upper()}: 1.00\n" for record in book.parts.values())
    found = read(HEAD + "parts:\n" + rows, book)
    assert set(found.parts) == set(book.parts)
    found = read(HEAD + "parts: {alignment dowels: 4.00, drive chain: 165, tires: 9}\n", book)
    assert found.parts == {"dowels": 4.0, "chain": 165.0, "tyres": 9.0}


@pytest.mark.parametrize(
    ("row", "fault"),
    [
        ("alignment dowelz: 1", "'alignment dowelz'; did you mean 'dowels' (alignment dowels "),
        ("range frok: 1", "'range frok'; did you mean 'range-fork' (range fork with its pads)?"),
        ("Qqqq: 1", "the book knows no part 'Qqqq'"),
        ("fork: 1", "'fork' may mean range fork with its pads, mode fork"),
        ("chain: 1\n  Drive chain: 2", "'Drive chain' has a price already, as 'chain'"),
        ("'': 1", "the book knows no part ''"),
    ],
)
def test_a_part_that_is_not_known_names_the_nearest(row: str, fault: str, book: Book) -> None:
    with pytest.raises(HeadwaterError) as caught:
        read(HEAD + f"parts:\n  {row}\n", book)
    (line,) = caught.value.lines
    assert line.startswith(f"list.yaml:{5 + row.count(chr(10))}:3: ")
    assert fault in line


def test_faults_of_form_and_of_meaning_are_told_together(book: Book) -> None:
    """With places of their own, in the order of the file."""
    text = "currency: ''\nlabour: much\nparts:\n  chian: 1\n  chain: cheap\n  tyres: -1\n"
    with pytest.raises(HeadwaterError) as caught:
        read(text + "sundries: {shimm: 1}\nrebate: 3\nexchange: {price: -1}\n", book)
    assert [line.split(" ")[0] for line in caught.value.lines] == [
        "list.yaml:1:1:",
        "list.yaml:1:1:",
        "list.yaml:2:9:",
        "list.yaml:4:3:",
        "list.yaml:5:10:",
        "list.yaml:6:10:",
        "list.yaml:7:12:",
        "list.yaml:8:1:",
        "list.yaml:9:11:",
        "list.yaml:9:19:",
    ]


def test_a_missing_key_says_what_it_is(book: Book) -> None:
    with pytest.raises(HeadwaterError) as caught:
        read("currency: EUR\nlabour: 60\nparts: {}\n", book)
    assert caught.value.lines == (
        "list.yaml:1:1: 'prices' is missing in this price list: the name of the list",
    )


@pytest.mark.parametrize("text", ["", "- a\n", "list\n"])
def test_what_is_no_price_list(text: str, book: Book) -> None:
    with pytest.raises(HeadwaterError, match="expected the lines of a price list here"):
        read(text, book)
