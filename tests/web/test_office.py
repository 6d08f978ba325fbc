"""The office: cases by state, what the ledger reckons, prices, and the book to browse."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from ledger.drawn import fill

from headwater.caseshelf import LedgerShelf
from headwater.ledger.door import Ledger, make_ledger
from headwater.ledger.hand import this_hand
from headwater.ledger.records import CaseState
from headwater.ledger.taken import add_case, read_case_file
from headwater.view.labels import LABELS
from headwater.view.leaf import KINDS, Leafing, leaf_page
from headwater.web.office import FIGURES, GROUPS
from web.conftest import ROOT, Standing


@pytest.fixture
def empty(standing: Standing, tmp_path: Path) -> Iterator[Ledger]:
    """The house keeps a ledger, in which nothing is yet."""
    settings = {"zone": "", "warranty": "", "warranty-from": ""}
    ledger = make_ledger(str(tmp_path / "ledger.sqlite"), settings)
    standing.house.shelf = LedgerShelf(ledger)
    yield ledger
    ledger.close()


@pytest.fixture
def kept(empty: Ledger) -> Ledger:
    """The same with a case in it."""
    given = read_case_file(ROOT / "examples" / "ridge-07.yaml", lambda _: None)
    add_case(empty, given, this_hand("Ada"))
    return empty


def test_cases_of_a_ledger_are_listed_found_and_opened(standing: Standing, kept: Ledger) -> None:
    assert kept.file
    client = standing.inside()
    assert "/case/ridge-07" in client.get("/cases").text
    assert "/case/ridge-07" in client.get("/cases?words=whines").text
    assert LABELS.none_found in client.get("/cases?words=lantern").text
    assert "Settled" in client.get("/case/ridge-07").text
    assert client.get("/case/none").status_code == 409


def test_an_answer_in_the_ledger_bears_the_name_of_who_gave_it(
    standing: Standing, kept: Ledger
) -> None:
    from headwater.ledger.look import show_case

    with standing.house.writing("ridge-07", who="Cleo") as session:
        session.answer("input-bearing-float", "0.046 in")
    assert show_case(kept, "ridge-07").log[-1].who == "Cleo"


@pytest.mark.parametrize("state", [*(one.value for one in CaseState), "nonsense"])
def test_cases_are_listed_by_state(standing: Standing, kept: Ledger, state: str) -> None:
    assert kept.file
    shown = standing.inside().get(f"/cases?state={state}").text
    assert ("/case/ridge-07" in shown) == (state in ("open", "nonsense"))


def test_done_cases_of_a_folder_are_listed_as_such(standing: Standing) -> None:
    shutil.copy(ROOT / "examples" / "ridge-07.yaml", standing.folder / "mended.yaml")
    with (standing.folder / "mended.yaml").open("a") as file:
        file.write("done:\n  - {action: scrap, on: front-half}\n")
    client = standing.inside()
    assert "/case/mended" in client.get("/cases?state=done").text
    assert "/case/ridge-07" not in client.get("/cases?state=done").text


@pytest.mark.parametrize("kind", FIGURES)
def test_figures_of_a_ledger_are_shown(standing: Standing, empty: Ledger, kind: str) -> None:
    fill(empty, 300, seed=1)
    shown = standing.inside().get(f"/figures/{kind}").text
    assert LABELS.no_ledger not in shown
    assert f'<a href="/figures/{kind}" aria-current="page">' in shown
    assert len(shown.split("<h1>")[1]) > 200


@pytest.mark.parametrize("by", GROUPS)
def test_trends_are_parted(standing: Standing, empty: Ledger, by: str) -> None:
    fill(empty, 100, seed=2)
    reply = standing.inside().get(f"/figures/trends?by={by}")
    assert reply.status_code == 200
    assert f'<option value="{by}" selected>' in reply.text


def test_figures_without_a_ledger_say_how_one_is_had(standing: Standing) -> None:
    client = standing.inside()
    assert LABELS.no_ledger in client.get("/figures").text
    assert client.get("/figures/nonsense").status_code == 404
    assert client.get("/figures/trends?by=nonsense").status_code == 404


def test_prices_are_shown(standing: Standing) -> None:
    client = standing.inside()
    assert "--prices FILE" in client.get("/prices").text
    standing.house.prices = ROOT / "examples" / "prices" / "winter-list.yaml"
    shown = client.get("/prices").text
    assert "front housing half" in shown
    assert "410.00" in shown


def test_every_leaf_of_the_book_leads_only_to_leaves(standing: Standing) -> None:
    book = standing.house.book.book
    for kind in KINDS[1:]:
        for name in list(book.table(kind))[::7]:
            for group in leaf_page(Leafing(book, kind, name)).groups:
                assert all(Leafing(book, row.kind, row.id).is_there for row in group.rows)


def test_the_book_is_browsed_from_area_to_check(standing: Standing) -> None:
    client = standing.inside()
    area = re.search(r'href="(/book/areas/[^"]+)"', client.get("/book").text)
    assert area
    assert '"/book/conditions/' in client.get(area[1]).text
    shown = client.get("/book/conditions/front-bore-worn").text
    assert '"/book/checks/front-groove"' in shown
    assert '"/book/conditions/input-bearing-displaced"' in shown
    assert "<svg" in shown
    check = client.get("/book/checks/input-bearing-float").text
    assert "past limit" in check
    assert "0.02 in" in check
    chain = re.search(r'href="(/book/chains/[^"]+)"', shown)
    assert chain
    assert "From where it begins" in client.get(chain[1]).text


def test_the_book_is_searched_by_words(standing: Standing) -> None:
    client = standing.inside()
    shown = client.get("/book?words=range fork pads burnt").text
    assert '"/book/conditions/range-fork-pads-burnt"' in shown
    assert '"/book/checks/range-fork-pads"' in shown
    assert "try others" in client.get("/book?words=zzzz").text


@pytest.mark.parametrize(
    "path", ["conditions/none", "packs/transfer-case", "origins/front-bore-worn", "areas/none"]
)
def test_what_is_no_leaf_is_not_there(standing: Standing, path: str) -> None:
    assert standing.inside().get(f"/book/{path}").status_code == 404


def test_the_book_names_no_remedy(standing: Standing) -> None:
    shown = standing.inside().get("/book/conditions/front-bore-worn").text
    assert "scrap" not in shown.lower()
