"""The pages of a case: each is an output of the table, and none says what the gate keeps back."""

from __future__ import annotations

import html
import re
from datetime import date

import pytest

from headwater import outputs
from headwater.case.read import read_case
from headwater.session.session import Session, open_session
from headwater.view.paper import texts_of
from headwater.view.shop import Reporting
from headwater.web.casefile import PAPERS
from web.conftest import NOW, ROOT, Standing

ON = date.fromisoformat(NOW[:10])
EVIL = "<script>alert(1)</script>"


def _session(standing: Standing) -> Session:
    return open_session(standing.house.book, read_case(standing.folder / "ridge-07.yaml"))


def _text(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())


@pytest.mark.parametrize("path", PAPERS)
def test_every_page_of_a_case_is_there(standing: Standing, path: str) -> None:
    reply = standing.inside().get(f"/case/ridge-07{path}")
    assert reply.status_code == 200
    assert f'href="/case/ridge-07{path}" aria-current="page"' in reply.text


@pytest.mark.parametrize(
    ("path", "output"), [("", "summary"), ("/sheet", "plan"), ("/report/shop", "shop-report")]
)
def test_a_page_says_what_its_output_says(standing: Standing, path: str, output: str) -> None:
    session = _session(standing)
    told = Reporting(session, ON) if "report" in output else session
    shown = _text(standing.inside().get(f"/case/ridge-07{path}").text)
    paper = outputs.paper(output, told)
    for text in texts_of((*paper.blocks, *(b for s in paper.sections for b in s.blocks))):
        for piece in re.split(r"; |(?<=[\w?]): ", text.removeprefix("[ ] ")):
            assert " ".join(piece.split()) in shown


def test_prices_of_the_day_are_those_of_the_file_as_it_stands(standing: Standing) -> None:
    client = standing.inside()
    assert "winter list" not in client.get("/case/ridge-07/options").text
    prices = standing.folder.parent / "prices.yaml"
    text = (ROOT / "examples" / "prices" / "winter-list.yaml").read_text()
    prices.write_text(text)
    standing.house.prices = prices
    assert "winter list" in client.get("/case/ridge-07/options").text
    assert "winter list" in client.get("/case/ridge-07/report/customer").text
    prices.write_text(text.replace("winter list", "spring list"))
    assert "spring list" in client.get("/case/ridge-07/options").text
    prices.write_text("nonsense")
    assert client.get("/case/ridge-07/options").status_code == 409


def test_a_proposed_repair_is_audited(standing: Standing) -> None:
    client = standing.inside()
    shown = _text(client.get("/case/ridge-07/audit?parts=range fork").text)
    assert "front bearing bore or its snap-ring groove worn" in shown
    assert "lantern" in _text(client.get("/case/ridge-07/audit?parts=lantern").text)
    assert EVIL not in client.get(f"/case/ridge-07/audit?parts={EVIL}").text


def test_steps_and_points_of_the_job_sheet_have_boxes(standing: Standing) -> None:
    shown = standing.inside().get("/case/ridge-07/sheet").text
    assert '<body class="jobsheet">' in shown
    assert '<li class="box">dowels in place</li>' in shown
    assert "[ ]" not in shown


def test_a_label_carries_the_address_where_others_reach_the_house(standing: Standing) -> None:
    client = standing.inside()
    assert 'aria-label="ridge-07"' in client.get("/case/ridge-07/label").text
    standing.house.address = "https://headwater.yard:8620"
    shown = client.get("/case/ridge-07/label").text
    assert 'aria-label="https://headwater.yard:8620/case/ridge-07"' in shown


def test_every_printed_page_bears_the_case(standing: Standing) -> None:
    client = standing.inside()
    assert 'href="/case/ridge-07/paper.css"' in client.get("/case/ridge-07").text
    reply = client.get("/case/ridge-07/paper.css")
    assert reply.headers["content-type"].startswith("text/css")
    assert "@bottom-left" in reply.text


def test_what_is_held_has_no_remedy_on_any_page(standing: Standing) -> None:
    path = standing.folder / "ridge-07.yaml"
    path.write_text("".join(path.read_text().splitlines(keepends=True)[:-2]))
    assert _session(standing).held == {"range-fork"}
    client = standing.inside()
    for page in PAPERS:
        shown = _text(client.get(f"/case/ridge-07{page}").text)
        assert "range fork with its pads: replace" not in shown, page
        assert "Fit a range fork" not in shown, page


FIELDS = ("case", "complaint", "customer", "vehicle")


@pytest.mark.parametrize("path", PAPERS)
def test_a_script_in_every_field_of_a_case_is_text(standing: Standing, path: str) -> None:
    head = "".join(f'{name}: "{EVIL}"\n' for name in FIELDS)
    told = f'  - {{told: "{EVIL}", unplaced: ["{EVIL}"]}}\n'
    found = f'  - {{check: range-fork-pads, answer: burnt, note: "{EVIL}", at: "{EVIL}"}}\n'
    unit = f'unit: {{number: "{EVIL}", history: "{EVIL}"}}\n'
    shown = f'  - {{photograph: "{EVIL}", of: 1, note: "{EVIL}"}}\n'
    given = f'{{amount: "{EVIL}", by: "{EVIL}", how: phone, on: "{EVIL}", quote: "{EVIL}"}}'
    text = f"{head}{unit}findings:\n{told}{found}{shown}  - {{approved: {given}}}\n"
    (standing.folder / "evil.yaml").write_text(text)
    reply = standing.inside().get(f"/case/evil{path}")
    assert reply.status_code == 200
    assert EVIL not in reply.text
    assert "&lt;script&gt;" in reply.text or path in ("/options", "/audit")
