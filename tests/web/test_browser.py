"""The pages as a browser draws them: at three widths, in both themes, without script, on paper.

With HEADWATER_PICTURES=folder the pictures are kept there to be looked at.
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from headwater.web.casefile import PAPERS
from headwater.web.people import People, Tries
from headwater.web.visits import Role
from web.browsing import CHROMIUM, chromium, come_in, faults_of, keep, served, watch
from web.conftest import ROOT, Standing

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="there is no Chromium here")

WIDTHS = (320, 768, 1280)
PAGES = (
    *("/", "/cases", "/cases?words=nothing", "/prices", "/figures", "/figures/trends", "/book"),
    *("/book?words=zzzz", "/book/conditions/front-bore-worn", "/book/checks/input-bearing-float"),
    *("/class", "/lesson"),
    *(f"/case/ridge-07{path}" for path in PAPERS),
)
FAULTS = ("/nowhere", "/case/none", "/case/ridge-07/audit?parts=lantern")


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with chromium() as started:
        yield started


def test_pages_fit_are_sound_and_fetch_nothing_from_elsewhere(
    standing: Standing, browser: Any
) -> None:
    """One story for all: each start of a browser costs seconds."""
    from axe_playwright_python.sync_playwright import Axe

    standing.house.prices = ROOT / "examples" / "prices" / "winter-list.yaml"
    (standing.folder / "new.yaml").write_text("case: new\n")
    wrong: list[str] = []
    with served(standing.house) as address:
        for theme in ("light", "dark"):
            context = browser.new_context(color_scheme=theme)
            page = context.new_page()
            watch(page, address, wrong)
            come_in(page, standing.house, address)
            for path in (*PAGES, "/case/new", "/case/new/sheet"):
                page.goto(address + path)
                for width in WIDTHS:
                    page.set_viewport_size({"width": width, "height": 900})
                    over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
                    wrong += [f"{path} is {over} too wide at {width}"] if over > 0 else []
                    keep(page, f"{path.strip('/').replace('/', '-') or 'start'}-{width}-{theme}")
                wrong += faults_of(Axe(), page, path)
            context.close()
    assert wrong == []


def test_the_door_of_a_house_with_people_is_sound(
    standing: Standing, browser: Any, tmp_path: Path
) -> None:
    from axe_playwright_python.sync_playwright import Axe

    standing.house.people = People(tmp_path / "people.json")
    standing.house.tries = Tries(lambda: standing.seconds[0])
    standing.house.people.add("Ada", Role.FOREMAN, "nine wet fords")
    with served(standing.house) as address:
        page = browser.new_context(color_scheme="dark").new_page()
        page.goto(f"{address}/cases")
        page.fill("#who", "Ada")
        page.fill("#password", "wrong wrong")
        page.keyboard.press("Enter")
        page.wait_for_selector("[role=alert]")
        assert faults_of(Axe(), page, "/enter") == []
        keep(page, "door-dark")
        page.fill("#who", "Ada")
        page.fill("#password", "nine wet fords")
        page.keyboard.press("Enter")
        page.wait_for_url(f"{address}/cases")
        page.context.close()


def test_pages_of_faults_are_sound(standing: Standing, browser: Any) -> None:
    from axe_playwright_python.sync_playwright import Axe

    wrong: list[str] = []
    with served(standing.house) as address:
        for theme in ("light", "dark"):
            context = browser.new_context(color_scheme=theme)
            page = context.new_page()
            page.goto(f"{address}/enter/wrong")
            wrong += faults_of(Axe(), page, "/enter/wrong")
            come_in(page, standing.house, address)
            for path in FAULTS:
                page.goto(address + path)
                wrong += faults_of(Axe(), page, path)
            context.close()
    assert wrong == []


def test_everything_works_without_script_and_by_keyboard(standing: Standing, browser: Any) -> None:
    with served(standing.house) as address:
        context = browser.new_context(java_script_enabled=False)
        page = context.new_page()
        come_in(page, standing.house, address)
        page.fill("#who", "Ada")
        page.keyboard.press("Tab")
        page.keyboard.press("Tab")
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        page.wait_for_url(f"{address}/cases")
        page.fill("#words", "whines")
        page.keyboard.press("Enter")
        page.wait_for_url("**/cases?words=whines")
        page.click("text=ridge-07")
        assert "Settled" in page.inner_text("main")
        page.click("text=Leave")
        page.wait_for_url(f"{address}/enter")
        page.goto(f"{address}/case/ridge-07")
        assert page.url == f"{address}/enter"
        context.close()


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_a_case_prints_with_its_name_and_the_number_on_every_page(
    standing: Standing, browser: Any, tmp_path: Path, size: str
) -> None:
    if shutil.which("pdftotext") is None:
        pytest.skip("there is no pdftotext here")
    with served(standing.house) as address:
        context = browser.new_context()
        page = context.new_page()
        come_in(page, standing.house, address)
        page.goto(f"{address}/case/ridge-07/report/shop")
        made = tmp_path / "report.pdf"
        page.pdf(path=made, format=size, prefer_css_page_size=False, print_background=False)
        context.close()
    told = subprocess.run(["pdftotext", "-layout", str(made), "-"], capture_output=True, text=True)
    sheets = told.stdout.rstrip("\f").split("\f")
    assert 2 <= len(sheets) <= 6
    for number, sheet in enumerate(sheets, 1):
        assert f"{number}/{len(sheets)}" in "".join(sheet.split())
        assert "ridge-07" in sheet.splitlines()[-1] + sheet.splitlines()[-2]
    whole = " ".join(told.stdout.split())
    assert "front bearing bore or its snap-ring groove worn" in whole
    assert "Leave" not in whole, "the frame of the page is not for paper"
