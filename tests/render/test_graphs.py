"""The causal graph for drawing programs: whole, cut to what is near, and safe to open."""

from __future__ import annotations

import re
from dataclasses import replace
from io import StringIO

import pytest
from graph.test_causal import vicious_circle
from render.hostile import HOSTILE

from headwater.book.records import Book
from headwater.cli.main import Terminal, run
from headwater.graph.causal import causal_graph
from headwater.render.graphs import areas, around, as_dot, as_mermaid


def called(*words: str) -> tuple[int, str, str]:
    out, err = StringIO(), StringIO()
    status = run(["book", "graph", *words], Terminal(out, err, StringIO(), width=80))
    return status, out.getvalue(), err.getvalue()


def titled(title: str) -> Book:
    book = vicious_circle()
    book.conditions["a"] = replace(book.conditions["a"], title=title)
    return book


def test_drawings_name_every_condition_and_link_and_quote_titles() -> None:
    book = titled('the "old" \\ one')
    dot, mermaid = as_dot(book), as_mermaid(book)
    assert 'label="the \\"old\\" \\\\ one"' in dot
    assert '["the #34;old#34; \\ one"]' in mermaid
    assert dot.count(" -> ") == mermaid.count(" --> ") == len(book.links)
    assert dot.count("shape=oval") == mermaid.count("([") == 2


@pytest.mark.parametrize("title", HOSTILE)
def test_a_hostile_title_stays_one_label(title: str) -> None:
    plain, book = titled("plain"), titled(title)
    for write in (as_dot, as_mermaid):
        lines = write(book).splitlines()
        assert len(lines) == len(write(plain).splitlines())
        assert not any(re.search(r"[\x00-\x1f\x7f-\x9f\u202e\u2066]", line) for line in lines)
    (label,) = [line for line in as_mermaid(book).splitlines() if line.startswith("  c2[")]
    inside = label.removeprefix('  c2["').removesuffix('"]')
    assert len(label) - len(inside) == len('  c2[""]')
    assert not re.search(r'[<>"`&]', inside)


def test_around_a_condition_is_what_so_many_links_reach() -> None:
    book = vicious_circle()
    assert around(book, "o1", 0) == {"o1"}
    assert around(book, "o1", 1) == {"o1", "a"}
    assert around(book, "o1", 2) == {"o1", "a", "b", "c"}
    assert around(book, "o1", 9) == {"o1", "o2", "a", "b", "c"}


def test_around_agrees_with_distances_in_the_graph(book: Book) -> None:
    import networkx as nx

    near = nx.ego_graph(causal_graph(book).to_undirected(), "oil-hot", radius=2)
    assert around(book, "oil-hot", 2) == set(near)


def test_a_part_draws_its_own_links_only() -> None:
    book = vicious_circle()
    dot = as_dot(book, {"a", "b", "o2"})
    assert re.findall(r'"(\w+)" -> "(\w+)"', dot) == [("a", "b")]
    assert as_mermaid(book, {"a", "b", "o2"}).count("\n") == 1 + 3 + 1


def test_each_condition_lies_in_one_area(book: Book) -> None:
    known = areas(book)
    assert {"oil", "chain", "range", "rear"} <= set(known)
    assert sorted(cid for found in known.values() for cid in found) == sorted(book.conditions)


def test_the_command_cuts_the_graph() -> None:
    whole, near, area = (called(*words)[1] for words in ((), ("--around", "oil-hot"), AREA))
    assert len(near) < len(whole) / 2
    assert len(area) < len(whole) / 2
    deeper = called("--around", "oil-hot", "--depth", "3")[1]
    assert len(near) < len(deeper) < len(whole)


AREA = ("--area", "oil")


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        (("--area", "oill"), "no folder of the book is 'oill'; did you mean 'oil'?"),
        (("--around", "xyzzy"), "there is no condition 'xyzzy'"),
        (("--around", "oil-hot", "--depth", "-1"), "a number of links is 0 or more"),
    ],
)
def test_what_is_not_there_is_said_in_one_line(words: tuple[str, ...], fault: str) -> None:
    status, out, err = called(*words)
    assert (status, out, err.count("\n")) == (2, "", 1)
    assert fault in err
