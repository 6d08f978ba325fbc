"""The Markdown: no text of a case or pack works as markup in it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from render.conftest import CASES, ON, PUMP, judged
from render.hostile import HOSTILE, hostile_replay

from headwater import __version__
from headwater.render.markdown import markdown_report, markdown_text
from headwater.session.session import Session
from headwater.view.owner import owner_paper
from headwater.view.shop import Reporting, shop_paper

MAKERS = {"shop": shop_paper, "customer": owner_paper}


def written(found: Session, reader: str) -> str:
    return markdown_report(MAKERS[reader](Reporting(found, ON))).replace(__version__, "VERSION")


def test_a_figure_of_the_shops_own_pack_is_marked() -> None:
    plain = written(judged(CASES["settled"]), "shop")
    own = written(judged(CASES["settled"], PUMP.parent / "pump-shop"), "shop")
    assert "in limits up to 20.05 mm" in plain
    assert "own pack" not in plain
    assert "in limits up to 20.03 mm" in own
    assert "a figure of the shop's own pack 'pump-shop'" in own
    assert "From the shop's own pack: **limit 'bore' of pack 'pump-shop'**" in own


TOKENS = {
    "html_block", "html_inline", "link_open", "image", "code_inline", "heading_open",
    "em_open", "strong_open", "s_open", "blockquote_open", "list_item_open", "hr", "fence",
    "code_block", "hardbreak", "softbreak", "table_open",
}  # fmt: skip


def tokens_of(text: str) -> list[str]:
    parser = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])
    found = []
    for token in parser.parse(text):
        found.append(token.type)
        found += [child.type for child in token.children or ()]
    return [kind for kind in found if kind in TOKENS]


def text_of(source: str) -> str:
    parser = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])
    return "".join(
        child.content for token in parser.parse(source) for child in token.children or ()
    )


def test_the_judge_of_markup_sees_markup() -> None:
    assert tokens_of("# <b>x</b> [a](b) *c*") == [
        "heading_open", "html_inline", "html_inline", "link_open", "em_open",
    ]  # fmt: skip


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_is_shown_as_it_is(text: str) -> None:
    assert tokens_of(markdown_text(text)) == []
    assert tokens_of(f"| a |\n| --- |\n| {markdown_text(text)} |") == ["table_open"]
    assert tokens_of(f"- {markdown_text(text)}") == ["list_item_open"]


PIECES = st.sampled_from([*HOSTILE, *"\\`*_{}[]()#+-.!|<>~&:=\"'$@^ 1.", "1. ", "- ", "a"])


@given(st.lists(PIECES, min_size=1, max_size=8).map("".join))
def test_no_text_works_as_markup(text: str) -> None:
    source = markdown_text(text)
    assert "\n" not in source
    assert tokens_of(source) == []


@given(st.text(st.characters(min_codepoint=33, max_codepoint=126), min_size=1, max_size=12))
def test_what_is_read_is_what_was_written(text: str) -> None:
    assert text_of(markdown_text(text)) == text


@pytest.mark.parametrize("reader", MAKERS)
def test_a_hostile_case_adds_no_markup(reader: str) -> None:
    """Only the line breaks of our own tables and our own first line are HTML."""
    parser = MarkdownIt("commonmark", {"html": True}).enable("table")
    text = written(hostile_replay(), reader)
    found = [
        token
        for block in parser.parse(text)
        for token in (block, *(block.children or ()))
        if token.type in ("html_inline", "html_block", "link_open", "image", "code_inline")
    ]
    assert {token.content.strip() for token in found} <= {"<!-- Headwater report -->", "<br>"}
    assert "alert(1)" in text, "the hostile text itself is still shown"


def test_a_fence_is_longer_than_any_in_the_drawing() -> None:
    found = hostile_replay()
    lines = written(found, "shop").splitlines()
    fences = [line for line in lines if line.startswith("```")]
    assert fences == ["````text", "````"]
