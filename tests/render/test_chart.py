"""Charts: what is drawn is where it should be, its words lie within, nothing hangs on colour."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest

from headwater.ledger.records import (
    CalibrationGroup,
    CalibrationReport,
    Interval,
    LifeFit,
    LifeStep,
    LifeTable,
    ReliabilityRow,
    ReturnsReport,
    ShareRow,
    StatisticRow,
)
from headwater.outputs import html_text, lines, markdown_text
from headwater.render.lettering import text_width
from headwater.render.svg import NARROW, WIDE
from headwater.render.svgchart import FIELD, LEFT, NOTE, RIGHT, TOP, draw_chart
from headwater.view.chart import Bar, Chart, Curve, Dot

SVG = "{http://www.w3.org/2000/svg}"
TICKS = ((0.0, "0"), (50.0, "50"), (100.0, "100"))
STEPS = Curve(
    "not back yet", (Dot(0, 1, 1, 1), Dot(50, 0.5, 0.25, 0.75)), in_steps=True, spread=True
)
CURVES = Chart("How soon", "days", "not back", TICKS, (STEPS,), (Dot(100, 0.25, 0, 1),), "found")
LONG = "front bearing bore of the rear housing half worn to a taper"
PAIR = (Bar(LONG, 0.2, 0.1, 0.3, "20 %, 2 of 10"), Bar("b", 0, 0, 0.1, "0 %"))
BARS = Chart("Which", "share", "", bars=PAIR)


def drawn(chart: Chart, width: float) -> ET.Element:
    return ET.fromstring(draw_chart(chart, "one", width))


def paths(chart: Chart, **like: str) -> list[str]:
    """Return the paths that have some attributes, in the order drawn."""
    every = drawn(chart, WIDE).iter(f"{SVG}path")
    return [p.attrib["d"] for p in every if like.items() <= p.attrib.items()]


def places(path: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in re.findall(r"([\d.]+) ([\d.]+)", path)]


def test_a_share_holds_until_the_next_step() -> None:
    (line,) = [d for d in paths(CURVES, **{"stroke-width": "3.2"}) if "L" in d]
    room = WIDE - LEFT - RIGHT
    assert places(line) == [
        (LEFT, TOP), (LEFT + room / 2, TOP), (LEFT + room / 2, TOP + FIELD / 2),
    ]  # fmt: skip
    band = paths(CURVES, fill="url(#one-hatch)")[0]
    assert (LEFT + room / 2, TOP + FIELD / 4) in places(band)
    assert (LEFT + room / 2, TOP + 3 * FIELD / 4) in places(band)


def test_a_mark_stands_at_its_share_with_its_interval() -> None:
    every = [c.attrib for c in drawn(CURVES, WIDE).iter(f"{SVG}circle")]
    discs = [(float(one["cx"]), float(one["cy"])) for one in every]
    assert (WIDE - RIGHT, TOP + 0.75 * FIELD) in discs
    span = next(d for d in paths(CURVES, **{"stroke-width": "1.6"}) if f"M{WIDE - RIGHT:.1f}" in d)
    assert f"V{TOP:.1f}" in span


def test_bars_are_as_long_as_their_shares() -> None:
    (bar,) = paths(BARS, fill="url(#one-hatch)")  # nought has no bar, but an interval
    left, end = (float(x) for x in re.findall(r"[MH]([\d.]+)", bar)[:2])
    grid = [d for d in paths(BARS) if "V" in d and "H" not in d and "v" not in d]
    last = max(float(d[1:].split()[0]) for d in grid)
    assert (end - left) / (last - left) == pytest.approx(0.2 / 0.5, abs=0.01)
    spans = [d for d in paths(BARS, **{"stroke-width": "1.6"}) if "v8" in d]
    assert len(spans) == 2


@pytest.mark.parametrize("width", [WIDE, NARROW])
@pytest.mark.parametrize("chart", [CURVES, BARS], ids=["curves", "bars"])
def test_all_words_lie_within(chart: Chart, width: float) -> None:
    root = drawn(chart, width)
    height = float(root.attrib["height"])
    said = list(root.iter(f"{SVG}text"))
    for text in said:
        wide = text_width(str(text.text), NOTE) * (1.1 if "font-weight" in text.attrib else 1.0)
        before = {"end": wide, "middle": wide / 2}.get(text.attrib.get("text-anchor", ""), 0.0)
        x = float(text.attrib["x"]) - before
        assert x >= -4, text.text
        assert x + wide <= width + 4, text.text
        assert 0 < float(text.attrib["y"]) < height
    whole = " ".join(str(text.text) for text in said)
    for words in LONG.split() if chart is BARS else ("days", "found", "50"):
        assert words in whole


def test_nothing_hangs_on_colour_and_nothing_is_fetched() -> None:
    text = draw_chart(CURVES, "one", WIDE)
    assert "stroke-dasharray" in text  # the grid
    assert "one-hatch" in text
    assert not re.search(r"<script|href|<style|<image|@import", text)
    assert "&lt;b&gt;" in draw_chart(
        Chart("<b>", "x", "<b>", TICKS, (STEPS,)), "one", WIDE
    )  # what is said is text


# A page of each ----------------------------------------------------------------------------------

ROW = ShareRow("origin not named", 3, 10, 0.3, 0.1, 0.6)
FIT = LifeFit(1.2, Interval(1.0, 1.5), 300.0, Interval(200.0, 400.0), 30.0, -9.0)
STEP = LifeStep(90.0, 0.7, 0.5, 0.9, 8)
LIFE = LifeTable("days", "as exact", 3, 7, (STEP,), FIT, (LifeStep(41.0, 0.9, 0.7, 1.0, 9), STEP))
TEST = StatisticRow("one against the other", "Fisher", 0.5, 0.03)
RETURNS = ReturnsReport(ROW, "", "", 0, 0, (ROW,), (), (), LIFE, LIFE, (), (TEST,))
CALIBRATED = CalibrationReport(
    1, (CalibrationGroup("seat call", 10, 0.1, 0.3, (ReliabilityRow(0.3, ROW),)),), (), ()
)


@pytest.mark.parametrize(
    ("name", "told", "said"),
    [
        ("ledger-returns-sheet", RETURNS, ("Weibull, shape 1.20", "90", "0.030", "30 %, 3 of 10")),
        ("ledger-calibrate-sheet", CALIBRATED, ("came true, with its 95 % interval", "30 %")),
    ],
)
def test_a_page_has_each_chart_twice_and_its_table_beside(
    name: str, told: object, said: tuple[str, ...]
) -> None:
    page = html_text(name, told)
    assert page.count("<svg") == 2 * page.count("<figure>") > 0
    assert page.count("<table>") >= page.count("<figure>")
    assert all(words in page for words in said)
    assert "<script" not in page
    ids = re.findall(r' id="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    assert "| --- |" in markdown_text(name, told)
    assert any("origin not named" in line.text or "30 %" in line.text for line in lines(name, told))
