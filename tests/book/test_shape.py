"""Reading records: every fault names its place and the mend, and all of them come at once."""

from __future__ import annotations

import pytest

from headwater.book.files import RECORDS, Pack, SampleFile, Sections
from headwater.book.model import Chain
from headwater.book.shape import Reader, hints_of, reader_for, schema_for
from headwater.yamltext import parse

CONDITION = "title: bore worn\nkind: state\n"
CHECK = "ask: How?\nseats: [bench]\nminutes: 2\nanswers: {good: {}, bad: {}}\n"
CHAIN = "chain: a-chain\nfound: b\nverdict: a\nbecause:\n"


def faults(cls: type, text: str) -> list[str]:
    """Return the faults of a record as 'line:column: message'."""
    reader = Reader()
    known = {"id": "x"} if "id" in hints_of(cls) else {}
    record = reader.record(cls, parse(text, "x.yaml"), **known)
    assert (record is None) <= bool(reader.problems), "refused without a word"
    assert all(p.check == "form" and p.severity == "error" for p in reader.problems)
    return [f"{p.place.line}:{p.place.column}: {p.message}" for p in sorted(reader.problems)]


@pytest.mark.parametrize(
    ("kind", "text", "fault"),
    [
        ("conditions", "- a\n", "1:1: expected the lines of a condition here"),
        ("conditions", "text\n", "1:1: expected the lines of a condition here"),
        (
            "conditions",
            CONDITION + "titel: x\n",
            "3:1: a condition has no 'titel'; did you mean",
        ),
        ("conditions", CONDITION + "id: x\n", "3:1: a condition has no 'id'"),
        ("conditions", CONDITION + "place: x\n", "3:1: a condition has no 'place'"),
        ("conditions", "kind: state\n", "1:1: 'title' is missing in this condition"),
        ("conditions", "title: a\nkind: damages\n", "2:7: 'damages' is not one of damage, complai"),
        ("conditions", "title: a\nkind: [x]\n", "2:7: 'something else' is not one of damage"),
        ("conditions", "title:\nkind: state\n", "1:7: this is empty; write it or delete the key"),
        ("conditions", "title: 7\nkind: state\n", "1:8: this must be text; put it in quotes"),
        ("conditions", "title: [a]\nkind: state\n", "1:8: this must be text"),
        (
            "conditions",
            CONDITION + "said: [a, 7]\n",
            "3:11: this must be text; put it in quotes",
        ),
        ("conditions", CONDITION + "when: [a]\n", "3:7: expected 'key: value' lines here"),
        ("conditions", CONDITION + "origin: yes\n", "3:9: expected the lines of an origin here"),
        (
            "conditions",
            CONDITION + "origin: {corrections: []}\n",
            "'common' is missing",
        ),
        (
            "conditions",
            CONDITION + "origin: {common: rar, corrections: []}\n",
            "did you mean 'rare'?",
        ),
        ("conditions", CONDITION + "origin: {common: 0, corrections: []}\n", "a number above"),
        (
            "conditions",
            CONDITION + "origin: {common: 1.5, corrections: []}\n",
            "a number above",
        ),
        (
            "conditions",
            CONDITION + "origin: {common: true, corrections: []}\n",
            "write one of",
        ),
        (
            "conditions",
            CONDITION + "danger: {advice: halt, because: x}\n",
            "not one of ok, limp",
        ),
        ("checks", CHECK.replace("2", "two"), "3:10: a number is expected here"),
        ("checks", CHECK.replace("2", "true"), "3:10: a number is expected here"),
        (
            "checks",
            CHECK.replace("bench", "bensh"),
            "2:9: 'bensh' is not one of call, hoist",
        ),
        ("checks", CHECK + "parked: yes\n", "5:9: write true or false here"),
        (
            "checks",
            CHECK.replace("{good", "{fine: {shows: {a: sure}}, good"),
            "write decisive",
        ),
        (
            "checks",
            CHECK.replace("{good", "{fine: {shows: {a: decisiv}}, good"),
            "did you mean",
        ),
        (
            "checks",
            CHECK.replace("{good", "{fine: {shows: {a: [0.5, 1]}}, good"),
            "[P if present",
        ),
        (
            "checks",
            CHECK.replace("{good", "{fine: {shows: {a: [0.5]}}, good"),
            "[P if present",
        ),
        (
            "checks",
            CHECK.replace("{good", "{fine: 3, good"),
            "expected the lines of an answer here",
        ),
        ("parts", "title: a\noutside: 1\n", "2:10: write true or false here"),
        ("limits", "title: a\n", "1:1: 'bands' is missing in this limit"),
    ],
)
def test_each_fault_names_place_and_mend(kind: str, text: str, fault: str) -> None:
    found = faults(RECORDS[kind], text)
    assert any(fault in line for line in found), found


@pytest.mark.parametrize(
    ("steps", "fault"),
    [
        ("  - [a]\n", "5:5: write '- cause-id: {how: ..., often: ...}'"),
        ("  - {a: {how: x, often: always}, c: {}}\n", "5:5: write '- cause-id"),
        ("  - 7\n", "5:5: write '- cause-id"),
        ("  - a: always\n", "5:8: expected the lines of a because here"),
        (
            "  - a: {how: x, often: allways}\n",
            "5:24: write one of always, usually, sometimes, rarely",
        ),
        (
            "  - a: {how: x, offen: always}\n",
            "5:17: a because has no 'offen'; did you mean 'often'?",
        ),
    ],
)
def test_a_step_of_a_chain_says_how_it_is_written(steps: str, fault: str) -> None:
    found = faults(Chain, CHAIN + steps)
    assert any(line.startswith(fault) for line in found), found


def test_all_faults_of_a_record_come_at_once() -> None:
    assert len(faults(RECORDS["checks"], "ask: 1\nseats: [x, y]\nminutes: z\nfoo: 1\n")) == 6


def test_version_must_be_text() -> None:
    found = faults(Pack, "pack: a\nversion: 1.0\ntitle: b\n")
    assert found == ["2:10: this must be text; put it in quotes"]


def test_a_single_item_may_stand_without_its_list() -> None:
    reader = Reader()
    record = reader.record(RECORDS["conditions"], parse(CONDITION + "said: x\n", "x"), id="a")
    assert record.said == ("x",)
    assert not reader.problems


def test_text_is_one_line_however_it_is_folded() -> None:
    record = Reader().record(Pack, parse('pack: a\nversion: "1"\ntitle: |\n  b\n  c\n', "x"))
    assert record.title == "b c"


@pytest.mark.parametrize("cls", [Chain, Pack, Sections, SampleFile, *RECORDS.values()])
@pytest.mark.parametrize("text", ["", "[]", "7", "a: b", "- - a", "''"])
def test_no_form_of_text_is_refused_without_a_word(cls: type, text: str) -> None:
    faults(cls, text)


def test_a_type_without_a_reader_is_a_fault_of_the_program() -> None:
    with pytest.raises(TypeError, match="no reader for"):
        reader_for(complex)
    with pytest.raises(TypeError, match="no schema for"):
        schema_for(complex)
