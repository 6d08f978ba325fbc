"""Pages as a browser draws them; skipped only where there is no Chromium.

Each picture and measurement is a cold start of the browser, so few are taken. With
HEADWATER_PICTURES=folder the pictures are kept there to be looked at.
"""

from __future__ import annotations

import html
import json
import os
import re
import shutil
import struct
import subprocess
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from render.conftest import ON, Judge
from render.hostile import hostile_replay
from sessions import replay

from headwater.book.records import Book
from headwater.case.read import read_case
from headwater.graph.causal import causal_graph
from headwater.render.pages import page
from headwater.render.svg import NARROW, WIDE, svg_file
from headwater.session.pricelist import read_prices
from headwater.verdict.assess import Reasoner
from headwater.view.options import Pricing
from headwater.view.owner import owner_paper
from headwater.view.shop import Reporting, shop_paper
from headwater.view.tree import book_tree

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
]
WIDTHS = (360, 800, 1280)
EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
MEASURE = """
<script>
addEventListener("load", () => {
  const wide = innerWidth, out = [];
  for (const e of document.querySelectorAll("body *")) {
    const box = e.getBoundingClientRect();
    if (box.right > wide + 0.5) out.push(e.tagName + " " + box.right);
  }
  const units = (e) => e.ownerSVGElement.viewBox.baseVal.width;
  const shown = (e) => e.ownerSVGElement.getBoundingClientRect().width;
  const texts = [...document.querySelectorAll("svg text")].filter((e) => shown(e) > 0);
  const small = texts.map((e) => parseFloat(getComputedStyle(e).fontSize) * shown(e) / units(e));
  const past = texts.filter((e) => {
    const box = e.getBBox();
    return box.x + box.width > units(e);
  }).map((e) => e.textContent);
  const drawings = [...new Set(texts.map((e) => units(e)))];
  const made = {wide, scroll: document.documentElement.scrollWidth, out, past,
    smallest: Math.min(...small), texts: small.length, drawings};
  parent.document.body.setAttribute("data-made-" + wide, JSON.stringify(made));
});
</script>
"""

pytestmark = pytest.mark.skipif(BROWSER is None, reason="there is no Chromium here")

Browse = Callable[..., str]
Measure = dict[str, Any]


@pytest.fixture
def browse(tmp_path: Path) -> Browse:
    """Run the browser once on a page and return what it prints."""

    def go(target: Path, *flags: str) -> str:
        assert BROWSER is not None
        profile = tmp_path / "profile"
        shutil.rmtree(profile, ignore_errors=True)
        words = [BROWSER, *FLAGS, f"--user-data-dir={profile}", *flags, target.as_uri()]
        done = subprocess.run(words, capture_output=True, timeout=120, check=False)
        return done.stdout.decode("utf-8", "replace")

    return go


@pytest.fixture(scope="module")
def pages(judge: Judge, book: Book, reasoner: Reasoner) -> dict[str, str]:
    ridge = replay(book, read_case(EXAMPLES / "ridge-07.yaml"), reasoner)
    prices = read_prices(EXAMPLES / "prices" / "winter-list.yaml", book)
    undetermined = replay(book, read_case(EXAMPLES / "plan-undetermined.yaml"), reasoner)
    priced = Pricing(undetermined, prices)
    return {
        "priced-shop": page(shop_paper(Reporting(undetermined, ON, priced))),
        "hostile-shop": page(shop_paper(Reporting(hostile_replay(), ON))),
        "ridge-shop": page(shop_paper(Reporting(ridge, ON))),
        "ridge-customer": page(owner_paper(Reporting(ridge, ON))),
        "two-origins-shop": page(shop_paper(Reporting(judge("two-origins"), ON))),
    }


def saved(folder: Path, text: str, name: str = "page.html") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def measured(browse: Browse, folder: Path, text: str, *widths: int) -> list[Measure]:
    """Measure a copy of a page, its policy taken off and a script put in, in frames so wide.

    Frames, because a window of the browser itself is never narrower than 500 pixels.
    """
    bare = re.sub(r"<meta http-equiv[^>]*>", "", text).replace("</body>", MEASURE + "</body>")
    frame = '<iframe style="border:0" width="{}" height="900" srcdoc="{}"></iframe>'
    frames = "".join(frame.format(width, html.escape(bare)) for width in widths)
    harness = saved(folder, f"<!DOCTYPE html><body>{frames}</body>")
    shown = browse(harness, "--dump-dom", "--window-size=1400,900")
    body = re.search(r"<body [^>]*>", shown)
    assert body, shown[:400]
    made = {int(w): t for w, t in re.findall(r'data-made-(\d+)="([^"]*)"', body[0])}
    assert sorted(made) == sorted(widths)
    return [json.loads(html.unescape(made[width])) for width in widths]


@pytest.mark.parametrize("name", ["hostile-shop", "ridge-shop", "ridge-customer", "priced-shop"])
def test_nothing_runs_off_the_side(
    name: str, pages: dict[str, str], browse: Browse, tmp_path: Path
) -> None:
    for width, made in zip(WIDTHS, measured(browse, tmp_path, pages[name], *WIDTHS), strict=True):
        assert made["wide"] == made["scroll"] == width
        assert made["out"] == []
        assert made["past"] == [], "text of a drawing stays inside it"
        assert made["texts"] > 0
        assert made["smallest"] >= 10.5, "pixels of the smallest letters of a drawing"
        assert made["drawings"] == [NARROW if width < 704 else WIDE], "one of the two is shown"


def test_the_measure_sees_an_overflow(browse: Browse, tmp_path: Path, judge: Judge) -> None:
    text = page(shop_paper(Reporting(judge("open"), ON)))
    wide = text.replace("<main>", '<main><div style="width: 900px">x</div>')
    (made,) = measured(browse, tmp_path, wide, 360)
    assert made["out"] != []
    assert made["scroll"] > 360


def ink_of(path: Path) -> float:
    """Return the share of the picture's filtered bytes that are not zero; a blank one has none."""
    data = path.read_bytes()
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    at, packed = 8, b""
    while at < len(data):
        (size,) = struct.unpack(">I", data[at : at + 4])
        packed += data[at + 8 : at + 8 + size] if data[at + 4 : at + 8] == b"IDAT" else b""
        at += 12 + size
    raw = zlib.decompress(packed)
    return 1 - raw.count(0) / len(raw)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", ["ridge-shop", "two-origins-shop"])
def test_the_picture_is_not_blank(
    name: str, width: int, pages: dict[str, str], browse: Browse, tmp_path: Path
) -> None:
    folder = Path(os.environ.get("HEADWATER_PICTURES", tmp_path)).resolve()
    shot = folder / f"{name}-{width}.png"
    target = saved(tmp_path, pages[name])
    browse(target, f"--screenshot={shot}", f"--window-size={width},2400")
    blank = tmp_path / "blank.png"
    if width == WIDTHS[0]:
        empty = saved(tmp_path, "<!DOCTYPE html><title>x</title>", "blank.html")
        browse(empty, f"--screenshot={blank}", f"--window-size={width},2400")
        assert ink_of(blank) < 0.002
    assert ink_of(shot) > 0.01


@pytest.mark.parametrize(("paper", "wide"), [("A4", 595), ("letter", 612)])
def test_it_prints_within_the_sheet(
    paper: str, wide: int, pages: dict[str, str], browse: Browse, tmp_path: Path
) -> None:
    """Print a copy with the sheet named; a page wider than its sheet would be shrunk or cut."""
    sized = pages["ridge-shop"].replace("margin: 15mm;", f"margin: 15mm; size: {paper};")
    bare = re.sub(r"<meta http-equiv[^>]*>", "", sized)
    made = tmp_path / "made.pdf"
    browse(saved(tmp_path, bare), f"--print-to-pdf={made}", "--no-pdf-header-footer")
    pdf = made.read_bytes()
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    assert {round(float(w)) for w, _ in boxes} <= {wide, wide + 1}
    assert 1 <= len(re.findall(rb"/Type /Page\b", pdf)) <= 6


def test_a_trace_is_drawn_inside_its_frame(
    browse: Browse, tmp_path: Path, reasoner: Reasoner
) -> None:
    tree = book_tree(reasoner.book, causal_graph(reasoner.book), "range-fork-pads-burnt")
    drawing = svg_file(tree).split("\n", 2)[2]
    text = f'<!DOCTYPE html><body style="margin:10px">{drawing}</body>'
    (made,) = measured(browse, tmp_path, text, 720)
    assert made["past"] == []
    assert made["out"] == []
    assert made["texts"] > 60
