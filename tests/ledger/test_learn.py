"""What cases make of the book's figures: proposed with counts, never by the naive count, never laid
over by itself; and a drawn shop, of which the truth is known."""

from __future__ import annotations

import io
import json
import random
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
from small_book import CHAIN, CONDITIONS, write_book

from headwater.book.load import load_book
from headwater.case.read import parse_case
from headwater.cli.main import Terminal, run
from headwater.ledger.door import Ledger, make_ledger
from headwater.ledger.fits import share_believed
from headwater.ledger.learn import learning
from headwater.ledger.records import Hand, ReturnsReport
from headwater.ledger.returns import returns_report
from headwater.ledger.sheet import import_rows, read_sheet
from headwater.ledger.tables import cases
from headwater.ledger.taken import add_case, case_file_of
from headwater.session.openbook import OpenBook
from headwater.session.session import open_session
from headwater.view.case import case_view
from ledger.drawn import fill
from ledger.shopfloor import EXPOSED, Result
from ledger.shopfloor import run as run_shop

HAND = Hand()
LINK = ("bore-worn", "pads-burnt")
BOOK_OFTEN, TRUE_OFTEN, COMMON = 0.8, 0.4, 0.5


@pytest.fixture
def packs(tmp_path: Path) -> Path:
    """A book with one link, which its author calls usual; the bore is worn in every other unit."""
    gear = CONDITIONS[CONDITIONS.index("  gear-displaced") : CONDITIONS.index("  pads-burnt")]
    step = CHAIN[CHAIN.index("  - gear-displaced") : CHAIN.index("verdict")]
    direct = "  - bore-worn: {how: it lets the fork tilt, often: usually}\n"
    return write_book(
        tmp_path / "small",
        conditions=CONDITIONS.replace(gear, "").replace("common: common", f"common: {COMMON}"),
        bore_burns_pads=CHAIN.replace(step, direct),
    )


def looks(number: int) -> Iterator[tuple[str, str]]:
    """Yield what was found at pads and bore of so many units, drawn; nobody errs."""
    draw = random.Random(3)
    for _ in range(number):
        worn = draw.random() < COMMON
        burnt = worn and draw.random() < TRUE_OFTEN
        yield ("burnt" if burnt else "sound"), ("0.9 mm" if worn else "0.1 mm")


def text_of(name: str, pads: str, float_: str, head: str = "") -> str:
    rows = f"  - {{check: pads, answer: {pads}}}\n  - {{check: bore-float, answer: {float_}}}\n"
    return f"case: {name}\nseat: bench\n{head}unit: {{family: {{drive: chain}}}}\nfindings:\n{rows}"


def put(ledger: Ledger, text: str, name: str) -> None:
    add_case(ledger, case_file_of(text, name), HAND)


def fill_shop(ledger: Ledger, number: int) -> None:
    for n, (pads, float_) in enumerate(looks(number)):
        put(ledger, text_of(f"U-{n}", pads, float_), f"U-{n}")


def test_the_naive_count_over_proven_cases_fails(packs: Path, tmp_path: Path) -> None:
    """Of chains that were proven every link was seen: counting them, each link always fires."""
    book, ledger = OpenBook(load_book([packs])), make_ledger(str(tmp_path / "s.sqlite"), {})
    fill_shop(ledger, 120)
    kinds = Counter(looks(120))
    proven = fired = 0
    for (pads, float_), times in kinds.items():
        view = case_view(open_session(book, parse_case(text_of("a", pads, float_), "a.yaml")))
        for chain in view.chains:
            if chain.status == "proven" and chain.links:  # one that explains something found
                proven += times
                fired += times * (LINK in {(link.cause, link.effect) for link in chain.links})
    assert proven > 10
    assert fired / proven == 1.0
    found = {(row.cause, row.of): row for row in learning(ledger, book).rows}
    row = found[LINK]
    worn = sum(n for (_, float_), n in kinds.items() if float_ == "0.9 mm")
    burnt = kinds["burnt", "0.9 mm"]
    # A sound bore is no more than 'strong', so that a few more of them may have been worn.
    assert row.tried == pytest.approx(worn, rel=0.08)
    assert row.held == pytest.approx(burnt, rel=0.03)
    # Little is hidden: about the mean of the beta distribution round the book's eight cases.
    expected = (8 * BOOK_OFTEN + burnt) / (8 + worn)
    assert row.shop == pytest.approx(expected, abs=0.03)
    assert row.low < TRUE_OFTEN < row.high < 0.6 < BOOK_OFTEN
    assert row.moved
    ledger.close()


def test_what_nothing_is_learnt_from(shop: Ledger, packs: Path, tmp_path: Path) -> None:
    book = OpenBook(load_book([packs]))
    put(shop, text_of("plain", "burnt", "0.9 mm"), "plain")
    put(shop, "case: silent\nfindings:\n  - {told: it howls}\n", "silent")
    put(shop, text_of("odd", "burnt", "0.9 mm").replace("chain", "belt"), "odd")
    sheet = tmp_path / "past.csv"
    sheet.write_text("case,out\nold,2029-03-01\n")
    import_rows(shop, read_sheet(sheet, {}), HAND, dry=False)
    found = learning(shop, book)
    assert found.cases == 1
    assert (found.passed.imported, found.passed.silent, found.passed.unreadable) == (1, 1, 1)
    only_plain = found.rows
    # The same findings, brought in from a sheet, weigh nothing.
    put(shop, text_of("second", "sound", "0.9 mm"), "second")
    with shop.writing() as connection:
        connection.execute(cases.update().where(cases.c.name == "second").values(source="sheet"))
    assert learning(shop, book).rows == only_plain


def test_long_sums_are_announced(
    shop: Ledger, packs: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    book, said = OpenBook(load_book([packs])), list[str]()
    put(shop, text_of("plain", "burnt", "0.9 mm"), "plain")
    learning(shop, book, said.append)
    assert said == []
    monkeypatch.setattr("headwater.ledger.learn.LONG", 1)
    learning(shop, book, said.append)
    assert said == ["1 unlike cases are summed, each several times: this takes a while"]


# The command -------------------------------------------------------------------------------------


def play(*words: str) -> tuple[int, str]:
    out, err = io.StringIO(), io.StringIO()
    status = run(list(words), Terminal(out, err, io.StringIO(), width=80))
    return status, out.getvalue() + err.getvalue()


def test_a_pack_is_proposed_and_nothing_changes_until_it_is_laid_over(
    packs: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HEADWATER_LEDGER", "shop.sqlite")
    ledger = make_ledger("shop.sqlite", {})
    fill_shop(ledger, 120)
    ledger.close()
    before = {path.name: path.read_text() for path in packs.iterdir()}
    learn = ("ledger", "learn", "--book", "small")
    status, told = play(*learn)
    assert status == 0
    assert "book 0.8, with the cases 0.4" in told
    assert "The pack with these figures" in told
    status, told = play(*learn, "-o", "own")
    assert (status, sorted(p.name for p in Path("own").iterdir())) == (
        0,
        ["figures.yaml", "pack.yaml"],
    )
    assert {path.name: path.read_text() for path in packs.iterdir()} == before
    assert "# was usually, 0.8; " in Path("own/figures.yaml").read_text()
    laid = load_book([packs, Path("own")])
    assert laid.links[LINK].often.p == pytest.approx(0.42, abs=0.06)
    assert load_book([packs]).links[LINK].often.p == BOOK_OFTEN
    row = next(
        r for r in json.loads(play(*learn, "--json")[1])["rows"] if r["cause"] == "bore-worn"
    )
    assert laid.links[LINK].often.p == pytest.approx(row["shop"], rel=0.01)
    assert play(*learn, "-o", "own") == (
        2, "headwater: own: is a folder with something in it; name a new one\n",
    )  # fmt: skip
    status, told = play("book", "diff", "--book", "small", "--shop", "own")
    assert "was usually, is now 0.4" in told
    status, told = play("book", "diff", "--book", "small")
    assert (status, "or one to lay over: --shop FOLDER" in told) == (2, True)


@pytest.mark.usefixtures("packs")
def test_where_the_book_is_right_no_pack_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HEADWATER_LEDGER", "shop.sqlite")
    ledger = make_ledger("shop.sqlite", {})
    put(ledger, text_of("a", "burnt", "0.9 mm"), "a")
    ledger.close()
    status, told = play("ledger", "learn", "--book", "small", "-o", "own")
    assert (status, Path("own").exists()) == (0, False)
    assert "no pack was written" in told


# A shop that was drawn ---------------------------------------------------------------------------


def test_a_drawn_shop_learns_what_it_was_drawn_by() -> None:
    found = run_shop(0, 1500, moved=True, tested=400)
    assert found.of >= 15
    assert found.held >= 0.75 * found.of
    assert found.within[2] < 0.0, "its figures foretell other units better than the book's"


def test_where_nothing_moved_nothing_is_spoilt() -> None:
    found = run_shop(0, 1500, moved=False, tested=400)
    assert found.held >= 0.75 * found.of
    assert found.within[0] < 0.01
    assert found.rare < 0.15


@pytest.mark.trial
def test_intervals_hold_the_truth_as_often_as_they_say() -> None:
    """Pooled over links with enough units, four seeds; `shopfloor.py` runs thirty."""
    found: list[Result] = [run_shop(seed, 4000, moved=True, tested=400) for seed in range(4)]
    held, of = sum(one.held for one in found), sum(one.of for one in found)
    assert of > 60, EXPOSED
    assert 0.82 <= held / of <= 0.98  # of about ninety; 0.9 within 2.5 standard errors
    assert all(one.within[2] < 0.0 for one in found)


def test_a_shop_that_names_origins_sees_fewer_units_again(tmp_path: Path) -> None:
    """Two shops, alike but for how often an origin is named: their return curves lie apart."""
    told: list[ReturnsReport] = []
    for name, named in (("names", 0.95), ("does-not", 0.05)):
        ledger = make_ledger(str(tmp_path / f"{name}.sqlite"), {})
        fill(ledger, 1500, 5, named)
        told.append(returns_report(ledger))
        ledger.close()
    good, bad = ({step.age: step for step in one.by_days.steps}[365.0] for one in told)
    assert good.low > bad.high, "a year on, more of its repairs have not come back"
    assert told[0].whole.high < told[1].whole.low


def test_the_beta_interval_is_that_of_the_library() -> None:
    """A beta distribution of 2 and 6: its quantiles by a sum over the binomial distribution."""
    from math import comb

    def below(x: float) -> float:  # P(Beta(2, 6) <= x) = P(at least 2 of 7 with chance x)
        return sum(comb(7, k) * x**k * (1 - x) ** (7 - k) for k in range(2, 8))

    within = share_believed(0.25, 8.0, 0.9)
    assert below(within.low) == pytest.approx(0.05)
    assert below(within.high) == pytest.approx(0.95)
