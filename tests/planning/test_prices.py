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
