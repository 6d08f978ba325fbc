"""A code to be scanned: what is drawn is the code, and what it says is no markup."""

from __future__ import annotations

import re

import pytest
import segno

from headwater.render.code import QUIET_ZONE, code_drawing
from headwater.render.site import paged_style


def _dark(drawing: str) -> set[tuple[int, int]]:
    return {(int(x), int(y)) for x, y in re.findall(r"M(\d+) (\d+)h1v1h-1z", drawing)}


@pytest.mark.parametrize("text", ["ridge-07", "http://127.0.0.1:8620/case/ridge-07", "ä ß"])
def test_a_drawing_is_the_code_module_by_module(text: str) -> None:
    drawing = str(code_drawing(text))
    rows = segno.make(text, error="m", micro=False).matrix
    wanted = {
        (x + QUIET_ZONE, y + QUIET_ZONE)
        for y, row in enumerate(rows)
        for x, dark in enumerate(row)
        if dark
    }
    assert _dark(drawing) == wanted
    assert f'viewBox="0 0 {len(rows) + 8} {len(rows) + 8}"' in drawing


def test_a_code_is_dark_on_light_whatever_the_page_is() -> None:
    assert 'fill="white"' in str(code_drawing("x"))
    assert 'fill="black"' in str(code_drawing("x"))


def test_the_text_of_a_code_is_no_markup() -> None:
    assert "<script>" not in str(code_drawing("<script>alert(1)</script>"))


@pytest.mark.parametrize("name", ['"; } body { display: none', "</style>", "\\", "a\nb", "ä"])
def test_a_name_at_the_foot_of_a_page_is_no_style(name: str) -> None:
    content = re.findall(r'content: "([^"]*)"', paged_style(name))
    assert len(content) == 1
    assert re.fullmatch(r"(\\[0-9a-f]{6})*", content[0])
    assert paged_style(name).count("}") == 2
