"""What a customer pays: by hand, in decimal figures that add up, and worded as the shop has it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from planning.conftest import Judge

from headwater import outputs
from headwater.errors import HeadwaterError
from headwater.session.letterhead import Letterhead, Sheet, Tax, parse_letterhead
from headwater.verdict.options import Charge, Option, Way, make_options
from headwater.verdict.prices import Prices
from headwater.verdict.sums import CENT, sums_of
from headwater.view.options import Pricing
from headwater.view.shop import Reporting

ON = date(2026, 3, 2)
VAT = Letterhead(letterhead="Ridge", tax=Tax(name="VAT", rate=19.0))


def option_of(minutes: float, *materials: float) -> Option:
    """Return an option of these minutes, and of some lines of material."""
    charges = tuple(Charge(f"part {n}", "replace", 0.0, m) for n, m in enumerate(materials))
    return Option(
        Way.PLANNED, charges=charges, minutes=minutes, material=sum(materials), labour=minutes
    )


def listing(labour: float) -> Prices:
    return Prices(prices="test", currency="EUR", labour=labour, parts={})


@pytest.mark.parametrize(
    ("labour", "minutes", "materials", "rate", "wanted"),
    [
        # 64 * 601 / 60 = 641.0666; 641 + 641.07 = 1282.07; 19 % of it is 243.5933
        (64.0, 601.0, (641.0,), 19.0, "641.00 641.07 1282.07 243.59 1525.66"),
        # 64.10 * 45 / 60 = 48.075, which binary arithmetic has as 48.0749...
        (64.1, 45.0, (0.0,), 0.0, "0.00 48.08 48.08 0.00 48.08"),
        # 0.10 and 0.20 three times over are 0.90; 7.7 % of 0.90 is 0.0693
        (60.0, 0.0, (0.1, 0.2) * 3, 7.7, "0.90 0.00 0.90 0.07 0.97"),
        # 5 % of 0.10 is half a cent, which goes up
        (60.0, 0.0, (0.1,), 5.0, "0.10 0.00 0.10 0.01 0.11"),
        (60.0, 0.0, (1.005,), 0.0, "1.01 0.00 1.01 0.00 1.01"),
    ],
)
def test_by_hand(
    labour: float, minutes: float, materials: tuple[float, ...], rate: float, wanted: str
) -> None:
    sums = sums_of(option_of(minutes, *materials), listing(labour), rate)
    assert sums is not None
    told = (sums.material, sums.labour, sums.net, sums.tax, sums.gross)
    assert " ".join(map(str, told)) == wanted


MONEY = st.decimals(0, 10_000, places=2).map(float)


@given(
    labour=MONEY,
    minutes=st.integers(0, 5_000).map(float),
    materials=st.lists(MONEY, max_size=30),
    rate=st.decimals(0, 100, places=2).map(float),
)
def test_the_sums_add_up_to_the_cent_and_none_is_half_a_cent_off(
    labour: float, minutes: float, materials: list[float], rate: float
) -> None:
    sums = sums_of(option_of(minutes, *materials), listing(labour), rate)
    assert sums is not None
    assert sums.tax is not None
    every = (sums.material, sums.labour, sums.net, sums.tax, sums.gross)
    assert all(one == one.quantize(CENT) for one in every)
    assert sums.gross == sums.material + sums.labour + sums.tax
    assert sums.material == sum((Decimal(str(one)) for one in materials), Decimal(0))
    exact = Decimal(str(labour)) * int(minutes) / 60
    assert -CENT / 2 < sums.labour - exact <= CENT / 2
    assert -CENT / 2 < sums.tax - sums.net * Decimal(str(rate)) / 100 <= CENT / 2


def test_what_has_no_total_has_no_sums(judge: Judge, prices: Prices) -> None:
    verdict = judge("ridge-07").verdict
    few = Prices(prices="few", currency="EUR", labour=60.0, parts={})
    assert [sums_of(one, few, 19.0) for one in make_options(verdict, few)] == [None, None]
    (held, _) = make_options(judge("plan-float-at").verdict, prices, ["range-fork"])
    assert held.refused
    assert sums_of(held, prices, 19.0) is None


def customer(judge: Judge, prices: Prices | None, head: Letterhead | None = None) -> str:
    session = judge("ridge-07")
    told = Reporting(session, ON, Pricing(session, prices), letterhead=head)
    return outputs.markdown_text("customer-report", told)


def test_without_a_tax_no_tax_is_printed(judge: Judge, prices: Prices) -> None:
    told = customer(judge, prices)
    assert "| way | minutes | material | labour | total | comes back |" in told
    assert "| 1 repair as planned | 601 | 641.00 | 641.07 | 1282.07 | under 1 % |" in told
    assert "VAT" not in told
    assert "net" not in told.split()


def test_with_a_tax_net_tax_and_total_are_printed(judge: Judge, prices: Prices) -> None:
    told = customer(judge, prices, VAT)
    assert "| way | minutes | material | labour | net | VAT 19 % | total | comes back |" in told
    assert "641.00 | 641.07 | 1282.07 | 243.59 | 1525.66 |" in told
    assert "VAT 19 % is worked out once, on net, and rounded likewise." in told
    assert "expected" not in told, "what a comeback would cost the shop is the shop's"


def test_the_shop_and_the_customer_read_the_same_price(judge: Judge, prices: Prices) -> None:
    session = judge("ridge-07")
    shop = outputs.markdown_text("shop-report", Reporting(session, ON, Pricing(session, prices)))
    assert "| 1 repair as planned | 601 | 1282.07 |" in shop
    assert "material 641.00 + labour 641.07 = 1282.07" in shop


def test_who_signs_is_asked_for_a_way_only_where_one_has_a_price(
    judge: Judge, prices: Prices
) -> None:
    assert "- Amount, in EUR: ___" in customer(judge, prices)
    few = Prices(prices="few", currency="EUR", labour=60.0, parts={})
    for told in (customer(judge, few), customer(judge, None)):
        assert "I have read this report." in told
        assert "- Signature: ___" in told
        assert "Amount" not in told


def test_the_paper_bears_what_the_shop_has_on_it(judge: Judge) -> None:
    head = Letterhead(letterhead="Ridge", address=("Mill Lane 4",), warranty="A year on the work.")
    told = customer(judge, None, head)
    assert "**Ridge,** Mill Lane 4" in told
    assert "## Warranty\n\nA year on the work." in told
    assert "Ridge" not in customer(judge, None)


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("", "expected the lines of a letterhead here"),
        ("address: [a]\n", "'letterhead' is missing in this letterhead: the name of the shop"),
        ("letterhead: ''\n", "x.yaml:1:1: the name of the shop is empty; write it"),
        ("letterhead: a\ntax: {rate: 19}\n", "'name' is missing in this tax"),
        ("letterhead: a\ntax: {name: '', rate: 19}\n", "x.yaml:2:6: the tax has no name"),
        ("letterhead: a\ntax: {name: VAT, rate: -1}\n", "a tax of -1 % cannot be; write 0 to 100"),
        ("letterhead: a\ntax: {name: VAT, rate: 101}\n", "a tax of 101 % cannot be"),
        ("letterhead: a\ntax: {name: VAT, rate: .nan}\n", "x.yaml:2:"),
        ("letterhead: a\ntax: {name: VAT, rate: 19 %}\n", "a number is expected here"),
        ("letterhead: a\nsheet: a5\n", "'a5' is not one of a4, letter"),
        ("letterhead: a\nlogo: x.png\n", "a letterhead has no 'logo'"),
    ],
)
def test_a_fault_is_one_line_with_its_place(text: str, fault: str) -> None:
    with pytest.raises(HeadwaterError) as caught:
        parse_letterhead(text, "x.yaml")
    assert fault in str(caught.value)
    assert len(caught.value.lines) == 1


def test_all_that_a_letterhead_says() -> None:
    text = "letterhead: Ridge\nsheet: letter\ntax: {name: VAT, rate: 7.7}\n"
    found = parse_letterhead(text, "x.yaml")
    assert (found.letterhead, found.sheet) == ("Ridge", Sheet.LETTER)
    assert found.tax is not None
    assert (found.tax.name, found.tax.rate) == ("VAT", 7.7)
