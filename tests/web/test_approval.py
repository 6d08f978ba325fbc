"""The customer's approval: taken down on the case's page, told in the reports, never changed."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from headwater.case.model import Approval, ApprovedBy
from headwater.case.read import CaseError, parse_case, read_case
from headwater.session.approval import Approved, approvals, approve
from headwater.session.letterhead import Letterhead, Tax
from headwater.session.session import Session, open_session
from web.conftest import NOW, ROOT, Standing, token

TODAY = date.fromisoformat(NOW[:10])
WINTER = ROOT / "examples" / "prices" / "winter-list.yaml"
ADA = {"amount": "640,00 EUR", "by": "Ada North", "how": "phone", "on": str(TODAY)}
EVIL = "<script>alert(1)</script>"


def _approve(standing: Standing, case: str = "ridge-07", **more: str) -> Any:
    client = standing.inside()
    csrf = token(client.get(f"/case/{case}").text)
    return client.post(f"/case/{case}/approval", data={"csrf": csrf, **ADA, **more})


def _text(standing: Standing, path: str) -> str:
    page = standing.inside().get(f"/case/ridge-07{path}").text
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())


def _session(standing: Standing) -> Session:
    return open_session(standing.house.book, read_case(standing.folder / "ridge-07.yaml"))


def test_an_approval_stands_in_the_case_and_in_every_report(standing: Standing) -> None:
    before = _session(standing)
    assert _approve(standing).headers["location"] == "/case/ridge-07"
    kept = approvals(_session(standing))
    wanted = Approval(amount="640,00 EUR", by="Ada North", how=ApprovedBy.PHONE, on=NOW[:10])
    assert [replace(one, place=wanted.place) for one in kept] == [wanted]
    told = f"640,00 EUR. Ada North, by telephone, on {NOW[:10]}."
    for path in ("", "/report/shop", "/report/customer"):
        assert f"Approved by the customer {told}" in _text(standing, path), path
    after = _session(standing)
    assert (after.verdict.ending, after.released) == (before.verdict.ending, before.released)
    assert list(after.answers) == list(before.answers)


def test_the_page_asks_for_it_with_todays_day_and_the_customers_name(standing: Standing) -> None:
    path = standing.folder / "ridge-07.yaml"
    path.write_text(f"customer: north valley\n{path.read_text()}")
    page = standing.inside().get("/case/ridge-07").text
    assert 'name="by" type="text" autocomplete="off" value="north valley" required' in page
    assert f'name="on" type="date" value="{NOW[:10]}" max="{NOW[:10]}"' in page
    assert re.findall(r'name="how" value="([^"]+)"', page) == ["phone", "in-person", "in-writing"]
    assert 'name="quote"' not in page, "without a price list nothing is quoted"


def test_a_quote_that_was_approved_stays_as_it_was(standing: Standing) -> None:
    prices = standing.folder.parent / "prices.yaml"
    prices.write_text(WINTER.read_text())
    standing.house.prices = prices
    page = html.unescape(standing.inside().get("/case/ridge-07").text)
    quotes = [one for one in re.findall(r'name="quote" value="([^"]*)"', page) if one]
    assert quotes
    assert all("by the price list 'winter list" in one for one in quotes)
    assert _approve(standing, amount="640", quote=quotes[0]).status_code == 303
    (kept,) = approvals(_session(standing))
    assert (kept.quote, kept.amount) == (quotes[0], "640 EUR")
    assert list(kept.sums) == ["material", "labour", "total"]
    assert kept.sums["total"] in kept.quote
    dearer = re.sub(r"labour: .*", "labour: 99.00", WINTER.read_text())
    prices.write_text(dearer.replace("winter list", "spring list"))
    for path in ("", "/report/shop", "/report/customer"):
        assert f"Quoted: {quotes[0]}. Material {kept.sums['material']}" in _text(standing, path)
    assert "spring list" in _text(standing, "/report/customer")
    refused = _approve(standing, quote=quotes[0])
    assert refused.status_code == 409
    assert "none of the day any more" in refused.text
    now = html.unescape(standing.inside().get("/case/ridge-07").text)
    later = next(one for one in re.findall(r'name="quote" value="([^"]*)"', now) if one)
    assert _approve(standing, amount="700", quote=later, by="Ben").status_code == 303
    assert [one.quote for one in approvals(_session(standing))] == [quotes[0], later]
    shown = _text(standing, "")
    assert shown.index("700 EUR. Ben") < shown.index("replaced by it: 640 EUR. Ada North")


def test_the_list_of_the_day_is_used_and_a_quote_outlives_it(standing: Standing) -> None:
    folder = standing.folder.parent / "prices"
    folder.mkdir()
    standing.house.prices = folder
    for name, since, labour in (("old", "2031-01-01", "64.00"), ("new", "2031-04-10", "99.00")):
        text = WINTER.read_text().replace("currency:", f"valid-from: {since}\ncurrency:")
        (folder / f"{name}.yaml").write_text(re.sub("labour: .*", f"labour: {labour}", text))
    page = html.unescape(standing.inside().get("/case/ridge-07").text)
    quotes = [one for one in re.findall(r'name="quote" value="([^"]*)"', page) if one]
    assert all(one.endswith("' of 2031-01-01") for one in quotes)
    assert "Valid from 2031-01-01 on." in standing.inside().get("/prices").text
    assert _approve(standing, amount="640", quote=quotes[0]).status_code == 303
    (kept,) = approvals(_session(standing))
    standing.house.now = lambda: "2031-04-10T07:00:00+02:00"
    shown = _text(standing, "/report/customer")
    assert "Prices of 2031-04-10: winter list" in shown
    assert f"Quoted: {quotes[0]}. Material {kept.sums['material']}" in shown
    assert approvals(_session(standing)) == (kept,)
    assert _approve(standing, quote=quotes[0]).status_code == 409
    (folder / "new.yaml").write_text("valid-from: tomorrow\n")
    assert "no day; write year, month and day" in _text(standing, "/report/customer")


def test_a_quote_with_tax_keeps_each_sum_of_it(standing: Standing) -> None:
    standing.house.prices = WINTER
    standing.house.letterhead = Letterhead(letterhead="Ridge", tax=Tax(name="VAT", rate=19.0))
    page = html.unescape(standing.inside().get("/case/ridge-07").text)
    quotes = [one for one in re.findall(r'name="quote" value="([^"]*)"', page) if one]
    assert quotes[0].startswith("repair as planned, 1525.66 EUR with VAT 19 %, by the price list")
    shown = _text(standing, "/report/customer")
    assert "Ridge We know" in shown
    assert "1 repair as planned 601 641.00 641.07 1282.07 243.59 1525.66 under 1 %" in shown
    assert "Of the ways that are named here I approve: Which way, by its number" in shown
    assert _approve(standing, amount="1525.66", quote=quotes[0]).status_code == 303
    (kept,) = approvals(_session(standing))
    assert kept.sums == {
        "material": "641.00 EUR",
        "labour": "641.07 EUR",
        "net": "1282.07 EUR",
        "VAT 19 %": "243.59 EUR",
        "total": "1525.66 EUR",
    }
    standing.house.letterhead = None
    shown = _text(standing, "/report/customer")
    assert "Net 1282.07 EUR VAT 19 % 243.59 EUR Total 1525.66 EUR" in shown
    assert "Approved as it stands above. Name Day Signature" in shown
    assert "I approve" not in shown


def test_the_same_approval_sent_twice_counts_once(standing: Standing) -> None:
    for _ in range(2):
        assert _approve(standing).status_code == 303
    assert len(approvals(_session(standing))) == 1


@pytest.mark.parametrize(
    ("field", "typed", "told"),
    [
        ("amount", "", "no amount; write a number with its currency"),
        ("amount", "a lot", "no amount"),
        ("amount", "-5 EUR", "no amount"),
        ("amount", "1e400", "no amount"),
        ("amount", EVIL, "no amount"),
        ("by", "  ", "say who approved it"),
        ("how", "fax", "say how it was approved: phone, in-person, in-writing"),
        ("how", "", "say how"),
        ("on", "yesterday", f"no day; write it as {TODAY}"),
        ("on", "2031-04-10", "has not come yet"),
        ("quote", "exchange unit, 1.00 EUR", "none of the day"),
    ],
)
def test_what_is_wrong_is_said_in_one_line_and_nothing_is_kept(
    standing: Standing, field: str, typed: str, told: str
) -> None:
    reply = _approve(standing, **{field: typed})
    assert reply.status_code == 409
    assert told in html.unescape(reply.text)
    assert EVIL not in reply.text
    assert approvals(_session(standing)) == ()


@pytest.mark.parametrize("amount", ["640", "640.00 EUR", "EUR 1,240.50", "€ 640", "1 240,00 €"])
def test_an_amount_is_kept_as_it_was_typed(standing: Standing, amount: str) -> None:
    session = _session(standing)
    typed = Approved(amount, "Ada", "in-writing", "2031-04-01")
    assert approve(session, typed, TODAY).amount == amount
    with_currency = approve(session, typed, TODAY, currency="EUR").amount
    assert with_currency == (f"{amount} EUR" if amount == "640" else amount)


def test_words_of_an_approval_are_text(standing: Standing) -> None:
    assert _approve(standing, by=EVIL).status_code == 303
    for path in ("", "/report/shop", "/report/customer"):
        page = standing.inside().get(f"/case/ridge-07{path}").text
        assert EVIL not in page
        assert "&lt;script&gt;" in page


def test_a_case_that_no_one_here_has_takes_no_approval(standing: Standing) -> None:
    client = standing.inside()
    csrf = token(client.get("/").text)
    assert client.post("/case/none/approval", data={"csrf": csrf, **ADA}).status_code == 409
    assert client.post("/case/ridge-07/approval", data={"csrf": "x", **ADA}).status_code == 403


def test_a_hand_that_writes_one_wrongly_is_told_where() -> None:
    line = "  - {approved: {amount: 5 EUR, by: Ada, how: fax, on: 2031-04-01}}\n"
    with pytest.raises(CaseError) as caught:
        parse_case(f"case: a\nfindings:\n{line}", "a.yaml")
    assert caught.value.lines[0].startswith("a.yaml:3:")
    assert "phone, in-person, in-writing" in caught.value.lines[0]
