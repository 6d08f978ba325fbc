"""A case is taken apart with one reading of its text, and comes out as it does the long way."""

from __future__ import annotations

from itertools import product
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headwater.case.grow import PROBE, Parts, parted, parted_at_once
from headwater.case.read import CaseError
from headwater.errors import HeadwaterError
from headwater.yamltext import Table, Value, parse

CASES = sorted((Path(__file__).resolve().parents[2] / "examples").glob("*.yaml"))
BREAKS = ("", "\n", "\n\n", "\r\n", "\x85")
ENDS = (*BREAKS, "  ", "\n  ", "\n# a remark\n", "\n...\n", "\n---\n", " |\n")
LINES = st.sampled_from(
    [
        "case: a",
        "seat: bench",
        "findings:",
        "findings: []",
        "findings: [",
        "findings: null",
        "  - {check: a, answer: b}",
        "  - check: a\n    answer: b",
        "    - {check: a, answer: b}",
        "- {check: a, answer: b}",
        "  - {told: 'it howls",
        "    when it pulls'}",
        "  - told: |",
        "      it howls",
        "  - told: >+",
        "  -",
        "complaint: 'it",
        "complaint: |",
        "  it howls",
        "# a remark",
        "  # another",
        "",
        PROBE.rstrip(),
    ]
)


def plain(value: Value) -> object:
    if isinstance(value.data, Table):
        return [(key, plain(item), place) for key, place, item in value.data]
    return [plain(v) for v in value.data] if isinstance(value.data, tuple) else value.data


def the_long_way(text: str) -> tuple[Value, Parts] | None:
    try:
        tree = parse(text, "a.yaml")
        return (tree, parted(text, tree)) if isinstance(tree.data, Table) else None
    except HeadwaterError:
        return None


def check_alike(text: str) -> bool:
    """Hold the short way against the long one; say whether it was taken."""
    short = parted_at_once(text, "a.yaml")
    if short is None:
        return False
    tree, parts = short
    long = the_long_way(text)
    assert long is not None
    assert parts == long[1]
    assert isinstance(long[0].data, Table)
    if long[0].data.entries["findings"].data is None:  # nothing behind 'findings:'
        assert parts.findings == ()
    else:
        assert plain(tree) == plain(long[0])
    return True


@given(st.lists(LINES, max_size=8), st.sampled_from(ENDS))
def test_the_short_way_is_the_long_one(lines: list[str], end: str) -> None:
    check_alike("\n".join(lines) + end)


def test_each_end_of_a_text() -> None:
    heads = ("case: a\n", "")
    blocks = ("", "\n  - {check: a, answer: b}", "\n  - told: |\n      x")
    texts = [f"{head}findings:{block}{end}" for head, block, end in product(heads, blocks, ENDS)]
    assert sum(map(check_alike, texts)) >= 12


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_shipped_cases(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    if the_long_way(text) is not None and text.rstrip().splitlines()[-1].startswith("  - "):
        assert check_alike(text)


def test_the_probe_itself_is_a_finding_like_any_other() -> None:
    text = f"case: a\nfindings:\n{PROBE}"
    short = parted_at_once(text, "a.yaml")
    assert short is not None
    assert short[1].findings == (PROBE,)


def test_what_cannot_be_added_to_is_told_the_long_way() -> None:
    text = "case: a\nfindings: [{check: a, answer: b}]\n"
    assert parted_at_once(text, "a.yaml") is None
    with pytest.raises(CaseError, match="one to a line"):
        parted(text, parse(text, "a.yaml"))
