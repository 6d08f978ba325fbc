"""What is taken down on a page, as a browser draws it: photographs, an approval, words left aside.

With HEADWATER_PICTURES=folder pictures are kept to be looked at.
"""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from headwater.case.read import read_case
from web.browsing import CHROMIUM, chromium, come_in, faults_of, keep, served, watch
from web.conftest import NOW, ROOT, Standing
from web.test_photographs import picture

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="there is no Chromium here")
WIDTHS = (320, 768, 1280)


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with chromium() as started:
        yield started


def _looked_at(page: Any, name: str, wrong: list[str]) -> None:
    """Look at a page at three widths and in both themes."""
    from axe_playwright_python.sync_playwright import Axe

    for theme in ("light", "dark"):
        page.emulate_media(color_scheme=theme)
        wrong += faults_of(Axe(), page, f"{name}, {theme}")
    page.emulate_media(color_scheme="light")
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        wrong += [f"{name} is {over} too wide at {width}"] if over > 0 else []
        keep(page, f"{name}-{width}")


def _sent(page: Any, words: str) -> None:
    with page.expect_navigation():
        page.click(words)


def test_a_photograph_is_taken_shown_and_printed(
    yard: Standing, browser: Any, tmp_path: Path
) -> None:
    shot, paper, wrong = tmp_path / "shot.jpg", tmp_path / "case.pdf", list[str]()
    shot.write_bytes(picture((900, 600), turned=6))
    with served(yard.house) as address:
        context = browser.new_context()
        page = context.new_page()
        watch(page, address, wrong)
        come_in(page, yard.house, address)
        page.goto(f"{address}/case/pads/at/bench")
        _sent(page, "button[value=dont-know]")
        page.click("summary >> text=A photograph:")
        page.set_input_files("#picture", shot)
        page.fill("#caption", "the worn side")
        _looked_at(page, "photograph-form", wrong)
        _sent(page, "text=Send the photograph")
        assert page.locator(".told >> text=The photograph is kept").is_visible()
        page.goto(f"{address}/case/pads")
        image = page.locator(".photograph img")
        size = image.evaluate("one => [one.naturalWidth, one.naturalHeight]")
        assert size == [600, 900], "it is drawn under the policy, and upright"
        assert image.get_attribute("alt").endswith("the worn side")
        _looked_at(page, "photograph-case", wrong)
        page.goto(f"{address}/case/pads/report/customer")
        page.pdf(path=paper, format="A4")
        context.close()
    listed = subprocess.run(
        ["pdfimages", "-list", str(paper)], capture_output=True, text=True, check=True, timeout=60
    ).stdout
    assert [row.split()[3:5] for row in listed.splitlines()[2:]] == [["600", "900"]]
    assert wrong == []


def test_an_approval_is_taken_down(standing: Standing, browser: Any) -> None:
    standing.house.prices = ROOT / "examples" / "prices" / "winter-list.yaml"
    wrong: list[str] = []
    with served(standing.house) as address:
        context = browser.new_context()
        page = context.new_page()
        watch(page, address, wrong)
        come_in(page, standing.house, address)
        page.goto(f"{address}/case/ridge-07")
        page.click("summary >> text=Take down the customer")
        _looked_at(page, "approval-form", wrong)
        page.check("input[name=quote] >> nth=0")
        page.fill("#amount", "1240")
        page.fill("#by", "Ada North")
        page.check("text=in writing")
        _sent(page, "text=Take it down")
        told = f"1240 EUR. Ada North, in writing, on {NOW[:10]}. Quoted: repair as planned,"
        assert told in page.inner_text("main")
        page.emulate_media(media="print")
        assert page.locator(".approval").is_hidden()
        context.close()
    assert wrong == []


def test_a_danger_is_taken_back_and_words_are_left_aside(standing: Standing, browser: Any) -> None:
    wrong: list[str] = []
    with served(standing.house) as address:
        context = browser.new_context()
        page = context.new_page()
        watch(page, address, wrong)
        come_in(page, standing.house, address)
        page.goto(f"{address}/begin/call")
        page.fill("#words", "it whines, and smoke comes from underneath, and qqq zzz rotates")
        _sent(page, "button.first")
        _sent(page, "text=Take what is ticked")
        page.click(".kept summary >> nth=0")
        _looked_at(page, "left-aside", wrong)
        _sent(page, "text=It is not so")
        assert "!! STOP" not in page.inner_text(".advice")
        page.click(".kept summary >> nth=0")
        page.fill("#reason-1", "small talk")
        _sent(page, ".kept button >> nth=0")
        context.close()
    case = read_case(standing.folder / f"{NOW[:10]}-1.yaml")
    assert [e.note for e in case.findings if e.struck][1:] == ["small talk"]
    assert case.outside == ()
    assert wrong == []
