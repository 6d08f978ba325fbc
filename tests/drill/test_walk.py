from __future__ import annotations

import io
import json
import re
from pathlib import Path

import pytest
from draws import some
from sessions import replay

from headwater.book.records import Book
from headwater.case.read import parse_case
from headwater.cli.main import Terminal, run
from headwater.drill.drawing import circle
from headwater.drill.run import DrillError
from headwater.drill.truth import family_for
from headwater.drill.walk import Stop, Walk, case_stops, chain_stops, find_chain, walk_view
from headwater.render.data import plain
from headwater.session.openbook import OpenBook
from headwater.verdict.assess import build_reasoner
from headwater.view.paper import texts_of

CASE = """\
case: secret-name
complaint: Jonas says it hums
unit: {history: driven by Jonas}
findings:
  - {check: pads-look, answer: burnt, note: seen by Jonas}
"""
REMEDY = re.compile(r"\b(replace|scrap|fit a|fit new|renew)\b", re.I)


def told(stops: list[Stop]) -> str:
    return json.dumps(plain(walk_view(Walk(tuple(stops)))), ensure_ascii=False)


def test_a_circle_is_shown_closing(practised: OpenBook) -> None:
    stops = chain_stops(practised.compiled({}), practised.book.chains["bore-makes-crumbs"])
    words = told(stops[-2:-1])
    assert "pads burnt → crumbs in the oil" in words
    assert "crumbs in the oil → pads burnt" in words
    assert "The circle closes" in words
    straight = chain_stops(practised.compiled({}), practised.book.chains["vent-blows-seal"])
    assert "circle" not in told(straight)


def test_the_symptom_comes_first_and_the_deciding_look_last(practised: OpenBook) -> None:
    looks = {
        "bore-float": "large",
        "bore-light": "shows",
        "vent-look": "sound",
        "pads-look": "burnt",
    }
    text = "case: x\nfindings:\n"
    text += "".join(f"  - {{check: {c}, answer: {a}}}\n" for c, a in looks.items())
    stops = case_stops(replay(practised.book, parse_case(text, "x.yaml")))
    first, *_, origin, _end = stops
    assert "float" not in told([first])
    assert "blow through the vent? sound" in told([first])
    assert "How large is the float? large" in texts_of(origin.told)[-2]
    for stop in stops[:-2]:
        assert "float" not in told([stop]).replace("floats back", "")


def test_a_chain_is_walked_from_what_is_found_to_the_origin(practised: OpenBook) -> None:
    stops = chain_stops(practised.compiled({}), practised.book.chains["bore-makes-crumbs"])
    heads = [texts_of(stop.shown)[0] for stop in stops]
    assert heads == [
        "Found: crumbs in the oil",
        "Why: crumbs in the oil?",
        "Why: pads burnt?",
        "Why: gear sits rearward?",
        "And what does this do in turn: crumbs in the oil?",
        "The origin: front bore worn",
    ]
    assert all(stop.ask for stop in stops)


def test_the_tempting_repair_comes_after_the_question_and_is_called_wrong(
    practised: OpenBook,
) -> None:
    first = chain_stops(practised.compiled({}), practised.book.chains["bore-burns-pads"])[0]
    assert "only pads" not in " ".join(texts_of(first.shown)) + first.ask
    assert "a wrong one: only pads" in texts_of(first.told)[0]


def test_no_remedy_before_the_origin_is_named(practised: OpenBook) -> None:
    for chain in practised.book.chains.values():
        stops = chain_stops(practised.compiled({}), chain)
        assert not REMEDY.search(told(stops[:-1]))


def test_the_plan_stands_at_the_last_stop_only_and_comes_from_the_gate(
    practised: OpenBook,
) -> None:
    last = chain_stops(practised.compiled({}), practised.book.chains["bore-burns-pads"])[-1]
    assert "front bore: machine. Bush the bore." in told([last])


def test_a_case_is_told_without_names_and_holds_what_is_held(practised: OpenBook) -> None:
    stops = case_stops(replay(practised.book, parse_case(CASE, "x.yaml")))
    words = told(stops)
    assert "secret-name" not in words
    assert "Jonas" not in words
    assert "HELD" in words
    assert "only pads" not in words  # not even as a wrong one
    assert not REMEDY.search(words)


def test_a_proven_case_walks_its_chain_with_its_own_evidence(practised: OpenBook) -> None:
    looks = {"bore-float": "large", "bore-light": "shows"}  # one of them alone proves nothing
    text = CASE + "".join(f"  - {{check: {c}, answer: {a}}}\n" for c, a in looks.items())
    words = told(case_stops(replay(practised.book, parse_case(text, "x.yaml"))))
    assert "Evidence here: How large is the float? large" in words
    assert "a wrong one: only pads" in words
    assert "RELEASED range fork: replace" in words


def test_a_chain_is_found_by_words(practised: OpenBook) -> None:
    assert find_chain(practised.book, "blocked vent").id == "vent-blows-seal"
    assert find_chain(practised.book, "vent-blows-seal").id == "vent-blows-seal"
    with pytest.raises(DrillError, match="may mean 'bore burns pads'; "):
        find_chain(practised.book, "pads")
    with pytest.raises(DrillError, match="no chain fits"):
        find_chain(practised.book, "zebra")


def test_chains_of_the_shipped_book_can_be_walked(book: Book) -> None:
    reasoner = build_reasoner(book, {})
    for chain in some(list(book.chains.values())[::40]):
        stops = chain_stops(reasoner, chain)
        assert len(stops) == len(chain.path()) + 1 + bool(circle(reasoner, chain))
        assert not re.search(r": (replace|scrap)\. ", told(stops[:-1]))
        assert family_for(book, chain).keys() >= book.family.keys()


def test_a_walk_is_projected_a_step_at_a_time_without_a_script(
    practice: Path, tmp_path: Path
) -> None:
    out = tmp_path / "walk.html"
    argv = ["drill", "walk", "vent-blows-seal", "--book", str(practice), "-o", str(out)]
    assert run(argv, Terminal(io.StringIO(), io.StringIO(), io.StringIO())) == 0
    text = out.read_text(encoding="utf-8")
    steps = text.count('<section class="step"')
    assert steps > 4
    assert steps % 2 == 0
    for number in range(1, steps + 1):
        assert f'id="step-{number}"' in text
        assert f'href="#step-{number}"' in text
    assert "<script" not in text
    assert "http" not in text.replace("http-equiv", "").replace("http://www.w3.org", "")
    first = text.split('<section class="step"')[1]
    assert "Ask the class:" in first
    assert "tempting repair" not in first
    error = io.StringIO()
    assert run([*argv[:-1], "walk.pdf"], Terminal(io.StringIO(), error, io.StringIO())) == 2
    assert "end it in .html" in error.getvalue()
