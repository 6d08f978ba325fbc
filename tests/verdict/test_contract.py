"""The JSON contract: every shipped example and a spread of sample cases fit the strict schema."""

from __future__ import annotations

import copy
import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from draws import draws
from hypothesis import HealthCheck, given, settings
from sessions import as_session, contract, opened_with, replay
from strategies import Situation, situations

from headwater import outputs
from headwater.author.sample import SampleRunner
from headwater.book.records import Book
from headwater.book.tables import Drive, Seat, Verb
from headwater.case.model import BookStamp
from headwater.case.read import read_case
from headwater.cli.main import Terminal, run
from headwater.rules.status import Status
from headwater.session.ask import Purpose
from headwater.verdict.account import Naming
from headwater.verdict.assess import Reasoner, build_reasoner
from headwater.verdict.ending import Ending

jsonschema = pytest.importorskip("jsonschema")

ROOT = Path(__file__).resolve().parents[2]
SCHEMA = outputs.schemas()["verdict.schema.json"]
CASES = sorted(
    path
    for folder in ("examples", "examples/units")
    for path in (ROOT / folder).glob("*.yaml")
    if path.read_text("utf-8").lstrip().startswith("case:")
)


@pytest.fixture(scope="module")
def validator() -> Any:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    return jsonschema.Draft202012Validator(SCHEMA)


def faults(validator: Any, data: Any) -> list[str]:
    return [f"{error.json_path}: {error.message}" for error in validator.iter_errors(data)]


def objects(schema: Any) -> list[dict[str, Any]]:
    """Return every part of a schema that describes an object by its properties."""
    if isinstance(schema, list):
        return [found for item in schema for found in objects(item)]
    if not isinstance(schema, dict):
        return []
    own = [schema] if schema.get("type") == "object" and "properties" in schema else []
    return own + [found for item in schema.values() for found in objects(item)]


def test_the_schema_is_strict() -> None:
    assert len(objects(SCHEMA)) >= 15
    for part in objects(SCHEMA):
        assert part["additionalProperties"] is False
        assert part["required"] == list(part["properties"])


def test_the_schema_knows_every_word_of_the_tables() -> None:
    inside, more = SCHEMA["properties"], SCHEMA["$defs"]

    def words(record: str, field: str) -> set[str]:
        told = more[record]["properties"][field]
        return set(next(one["enum"] for one in told.get("anyOf", [told]) if "enum" in one))

    assert words("step", "action") == words("part", "action") == {verb.value for verb in Verb}
    assert words("condition", "status") == {status.value for status in Status}
    assert words("origin", "status") == {naming.value for naming in Naming}
    assert set(inside["verdict"]["enum"]) == {ending.value for ending in Ending}
    assert words("advice", "advice") == {drive.value for drive in Drive}
    assert words("next", "seat") == {seat.value for seat in Seat}
    assert words("next", "purpose") == {purpose.value for purpose in Purpose}


def test_diagnose_json_on_the_command_line(validator: Any) -> None:
    out, err = StringIO(), StringIO()
    argv = ["diagnose", str(ROOT / "examples" / "ridge-07.yaml"), "--json"]
    assert run(argv, Terminal(out, err, StringIO(), width=80)) == 0
    assert err.getvalue() == ""
    data = json.loads(out.getvalue())
    assert faults(validator, data) == []
    assert data["verdict"] == "settled"


@pytest.mark.parametrize("path", CASES, ids=[path.stem for path in CASES])
def test_every_example_keeps_the_contract(
    path: Path, book: Book, reasoner: Reasoner, validator: Any
) -> None:
    case = read_case(path)
    same = book.assumed | case.unit.family == book.family
    data = contract(replay(book, case, reasoner if same else None))
    assert faults(validator, json.loads(json.dumps(data))) == []
    assert_held_parts_have_no_action(data)


def test_sample_cases_keep_the_contract(book: Book, reasoner: Reasoner, validator: Any) -> None:
    runner = SampleRunner(opened_with(book, book.family, reasoner))
    everywhere = [s for group in book.samples.values() for s in group]
    samples = [s for s in everywhere if book.family | s.family == book.family]
    verdicts = set()
    for sample in samples[:: len(samples) // 24]:
        data = contract(as_session(runner.assess(sample)))
        assert faults(validator, json.loads(json.dumps(data))) == [], sample.name
        assert_held_parts_have_no_action(data)
        verdicts.add(data["verdict"])
    assert {"settled", "open"} <= verdicts


def assert_held_parts_have_no_action(data: dict[str, Any]) -> None:
    held = {row["part"] for row in data["parts"] if row["disposition"] == "held"}
    for step in data["plan"]:
        assert (step["action"] is None) == (step["on"] in held)
    assert all(step["action"] for step in data["cover"])


@settings(max_examples=draws(60), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(situations())
def test_random_verdicts_keep_the_contract(case: Situation) -> None:
    checker = jsonschema.Draft202012Validator(SCHEMA)
    data = contract(as_session(build_reasoner(case.book, {}).assess(case.findings, case.stand)))
    assert faults(checker, json.loads(json.dumps(data))) == []


def test_the_schema_refuses_an_action_on_a_held_part(book: Book, validator: Any) -> None:
    case = read_case(ROOT / "examples" / "ridge-07.yaml")
    first = type(case)(case="first", unit=case.unit, seat=case.seat, findings=case.findings[:1])
    data = contract(replay(book, first))
    assert faults(validator, data) == []
    (fork,) = data["parts"]
    assert fork["disposition"] == "held"

    spoilt = copy.deepcopy(data)
    spoilt["parts"][0]["action"] = "replace"
    assert faults(validator, spoilt)
    spoilt = copy.deepcopy(data)
    step = {"step": "Fit it.", "action": None, "on": "range-fork", "corrects": ["a"]}
    spoilt["plan"] = [step | {"minutes": 0, "fitting": [], "cautions": []}]
    assert faults(validator, spoilt)
    spoilt = copy.deepcopy(data)
    spoilt["more"] = 1
    assert faults(validator, spoilt)


def test_the_book_stamp_tells_a_changed_book(
    book: Book, reasoner: Reasoner, validator: Any
) -> None:
    case = read_case(ROOT / "examples" / "ridge-07.yaml")
    first = contract(replay(book, case, reasoner))
    stamp = BookStamp(name="x", version="1", digest="0" * 16)
    old = type(case)(case="old", book=stamp, unit=case.unit, findings=case.findings)
    second = contract(replay(book, old, reasoner))
    assert faults(validator, second) == []
    assert not first["book"]["changed_since_case"]
    assert second["book"]["changed_since_case"]
