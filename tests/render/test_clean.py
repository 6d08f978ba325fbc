"""Which characters are shown, held against the Unicode database; and templates leave it alone."""

from __future__ import annotations

import re
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from render.hostile import HOSTILE

import headwater.render
from headwater.render.clean import SHOWN_INSTEAD, cell_text, clean, fit
from headwater.render.fill import fill

FOLDER = Path(headwater.render.__file__).parent / "templates"
TEMPLATES = sorted(path for path in FOLDER.rglob("*") if path.is_file())
TURNS = {"LRE", "RLE", "PDF", "LRO", "RLO", "LRI", "RLI", "FSI", "PDI"}
MARKS = "\u200e\u200f\u061c"


def unfit(ch: str) -> bool:
    """Say by the Unicode database whether a page may not hold a character."""
    if (
        unicodedata.category(ch) in ("Cc", "Cs", "Zl", "Zp")
        or unicodedata.bidirectional(ch) in TURNS
    ):
        return True
    nowhere = 0xFDD0 <= ord(ch) <= 0xFDEF or ord(ch) & 0xFFFE == 0xFFFE
    return nowhere or ch in MARKS


def test_every_character_there_is() -> None:
    for code in range(0x110000):
        ch = chr(code)
        assert fit(ch) == (SHOWN_INSTEAD if unfit(ch) else ch), hex(code)


@given(st.text())
def test_what_is_cleaned_is_one_line_and_stays_as_it_is(text: str) -> None:
    assert clean(clean(text)) == clean(text)
    assert len(clean(text).splitlines()) <= 1


@pytest.mark.parametrize(
    "start", ["=1+1", "+1", "-1", "@SUM(1)", "\t=1", "\r=1", " =1", "\u2028=1"]
)
def test_no_cell_is_a_formula(start: str) -> None:
    assert cell_text(start) == f"'{start.strip()}"


@given(st.text() | st.sampled_from(HOSTILE))
def test_a_cell_begins_with_no_sign_of_a_formula(text: str) -> None:
    shown = cell_text(text)
    assert shown[:1] not in tuple("=+-@\t\r")
    assert shown in (clean(text), f"'{clean(text)}")


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_no_template_escapes_or_lets_through(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"\|\s*(safe|e|escape|forceescape)\b|autoescape", text)


def test_what_a_template_misses_is_an_error() -> None:
    from jinja2 import UndefinedError

    with pytest.raises(UndefinedError):
        fill("report.md", {"mark": ""}, clean)
