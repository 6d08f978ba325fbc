"""The door for other programs: the README's lines, JSON in and out, schemas, threads."""

from __future__ import annotations

import json
import re
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from headwater import api, outputs
from headwater.case.store import case_data

ROOT = Path(__file__).resolve().parent.parent
STORED = ROOT / "src" / "headwater" / "schema"
CASES = sorted(
    path for path in (ROOT / "examples").glob("*.yaml") if "findings:" in path.read_text()
)


@pytest.fixture(scope="module")
def book() -> api.OpenBook:
    return api.open_book()


def validator(name: str) -> Any:
    schema = api.json_schemas()[name]
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def test_the_readmes_lines_run(capsys: pytest.CaptureFixture[str]) -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    (lines,) = re.findall(r"<!-- run: python -->\n```python\n(.*?)```", text, re.S)
    assert len([line for line in lines.splitlines() if line.strip()]) <= 10
    exec(compile(lines, "README.md", "exec"), {})
    told = json.loads(capsys.readouterr().out)
    assert list(validator("verdict.schema.json").iter_errors(told)) == []
    assert told["verdict"] == "settled"


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_case_goes_through_json_and_comes_out_the_same(
    path: Path, book: api.OpenBook, tmp_path: Path
) -> None:
    """Of every example: the case as JSON fits its schema, and the verdict is the same one."""
    case = api.read_case(path)
    written = tmp_path / f"{path.stem}.json"
    written.write_text(api.case_json(case), encoding="utf-8")
    assert list(validator("case.schema.json").iter_errors(json.loads(written.read_text()))) == []
    again = api.read_case(written)
    assert case_data(again) == case_data(case)
    one, two = api.open_session(book, case), api.open_session(book, again)
    assert api.verdict_json(one) == api.verdict_json(two)


def test_answers_given_to_a_session_are_in_its_case(book: api.OpenBook) -> None:
    """What a session holds in memory is what its file would hold: removals, notes, corrections."""
    session = api.open_session(book, api.new_case("a", {"drive": "chain"}, "hoist"))
    session.answer("slip-splines-look", "worn" if "worn" in _words(session) else _words(session)[0])
    session.answer("range-fork-pads", "burnt", note="both of them")
    session.back()
    again = api.open_session(book, api.case_from_json(api.case_json(session.case)))
    assert again.answers == session.answers
    assert again.stand.removed == session.stand.removed
    assert [f.note for f in again.findings] == [f.note for f in session.findings]


def _words(session: api.Session) -> list[str]:
    return [str(word) for word in session.check("slip-splines-look").answers]


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ('{"case": "x", "findngs": []}', "x.json:1:15: a case has no 'findngs'; did you mean"),
        ('{"case": "x",\n "seat" "bench"}', "x.json:2:9: not readable as JSON (expecting ':'"),
        ("[" * 100_000, "x.json:1:1: is nested more than"),
        ("[]", "x.json:1:1: is no case"),
        ('{"case": "x", "case": "y"}', "'case' stands twice in one object"),
        ('{"case": "x", "seat": "roof"}', "'roof'"),
        ('{"case": "\\ud800"}', "holds half a sign"),
    ],
)
def test_json_that_is_no_case_is_one_line(text: str, fault: str) -> None:
    with pytest.raises(api.HeadwaterError) as caught:
        api.case_from_json(text, "x.json")
    assert fault in str(caught.value)
    assert "\n" not in str(caught.value)


def test_signs_written_as_two_halves_are_one_sign() -> None:
    """RFC 8259, section 7: a sign outside the basic plane may be escaped as a surrogate pair."""
    case = api.case_from_json('{"case": "G clef \\ud834\\udd1e"}')
    assert case.case == "G clef \N{MUSICAL SYMBOL G CLEF}"


@pytest.mark.parametrize("name", sorted(api.json_schemas()))
def test_the_stored_schemas_are_fresh(name: str) -> None:
    """They stand in the package, so in the wheel; nothing else stands beside them."""
    assert json.loads((STORED / name).read_text(encoding="utf-8")) == api.json_schemas()[name], (
        "run 'headwater book schema --outputs src/headwater/schema'"
    )
    assert {path.name for path in STORED.iterdir()} == set(api.json_schemas())


def test_every_output_for_programs_has_a_schema() -> None:
    with_record = {f"{o.name}.schema.json" for o in outputs.OUTPUTS if o.record}
    written = {f"{name}.schema.json" for name in ("case", "prices", "plan-file", "letterhead")}
    assert with_record | written == set(api.json_schemas())


def test_sixteen_threads_share_a_book_and_agree() -> None:
    """Each thread its own sessions, all at once, over a book that nothing was compiled from yet."""
    shared = api.open_book()
    cases = [api.read_case(path) for path in CASES[-3:]]
    alone = [api.verdict_json(api.open_session(api.open_book(), case)) for case in cases]
    together = threading.Barrier(16)

    def work(number: int) -> list[tuple[int, str]]:
        together.wait(60)
        order = [(number + step) % len(cases) for step in range(len(cases))]
        return [(i, api.verdict_json(api.open_session(shared, cases[i]))) for i in order]

    with ThreadPoolExecutor(16) as pool:
        for found in pool.map(work, range(16)):
            assert all(text == alone[i] for i, text in found)
