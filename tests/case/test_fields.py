"""What a person writes in a case: every key kept, every slip a line with its place and mend."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from headwater.book.shape import Ref
from headwater.case.model import LogEntry
from headwater.case.read import case_from_json, parse_case, raw_answer, read_case
from headwater.case.store import CaseWriter, case_data, entry_line, value_of
from headwater.errors import HeadwaterError
from headwater.yamltext import quote

WHOLE = """\
case: pine-77
complaint: "it whines: low range jumps out"
customer: mountain rescue, north valley
vehicle: fleet 17
distance: 84000 km
photographs: [fork-left.jpg, "bore: front.jpg"]
earlier: pine-77-before.yaml
unit:
  family: {drive: chain}
findings:
  - {check: pads, answer: sound}
  - {removed: cover}
  - {check: bore-float, answer: 0.9 mm}
  - {check: pads, answer: burnt, corrects: 1}
"""
NEW_KEYS = ("customer", "vehicle", "distance", "photographs", "earlier")


def with_findings(*lines: str) -> str:
    return "case: a\nfindings:\n" + "".join(f"  - {line}\n" for line in lines)


def faults_of(text: str) -> tuple[str, ...]:
    with pytest.raises(HeadwaterError) as caught:
        parse_case(text, "a.yaml")
    return caught.value.lines


@pytest.mark.parametrize("of", ["of: 0", "of: 2", "of: -1"])
def test_a_photograph_shows_an_answer_before_it(of: str) -> None:
    (told,) = faults_of(
        with_findings("{check: pads, answer: sound}", f"{{photograph: a.jpg, {of}}}")
    )
    assert told.startswith("a.yaml:4:")
    assert "is the number of an answer before, beside a 'photograph'" in told


def test_what_the_pages_write_is_read_as_it_was_written() -> None:
    lines = (
        "{check: pads, answer: sound, sent: 7f3a}",
        "{photograph: a.jpg, of: 1, note: worn}",
        "{approved: {amount: 640.00 EUR, by: Ada North, how: in-person, on: 2026-03-02}}",
    )
    case = parse_case(with_findings(*lines), "a.yaml")
    again = "".join(map(entry_line, case.findings))
    assert case_data(parse_case(f"case: a\nfindings:\n{again}", "a.yaml")) == case_data(case)
    assert case.pictures == ("a.jpg",)
    assert [entry.sent for entry in case.findings] == ["7f3a", "", ""]


def test_every_key_is_read() -> None:
    case = parse_case(WHOLE, "a.yaml")
    assert (case.customer, case.vehicle) == ("mountain rescue, north valley", "fleet 17")
    assert (case.distance, case.earlier) == ("84000 km", "pine-77-before.yaml")
    assert case.photographs == ("fork-left.jpg", "bore: front.jpg")
    assert [entry.corrects for entry in case.findings] == [None, None, None, 1]


def test_every_key_goes_out_and_comes_back() -> None:
    data = case_data(parse_case(WHOLE, "a.yaml"))
    assert set(NEW_KEYS) <= set(data)
    assert data["findings"][-1] == {"check": "pads", "answer": "burnt", "corrects": 1}
    assert case_data(case_from_json(json.dumps(data))) == data


def test_what_is_not_said_does_not_go_out() -> None:
    data = case_data(parse_case("case: a\n", "a.yaml"))
    assert not {*NEW_KEYS, "corrects"} & set(data)


def test_every_key_is_kept_when_the_file_is_brought_into_shape(tmp_path: Path) -> None:
    """Findings that stand first are moved to the end; the rest stays as it was written."""
    head, mark, rest = WHOLE.partition("findings:")
    path = tmp_path / "a.yaml"
    path.write_text(mark + rest + head)
    before = case_data(read_case(path))
    line = entry_line(LogEntry(check=Ref("pads"), answer=value_of("sound"), corrects=3))
    with CaseWriter(path) as writer:
        writer.append(line)
    after = case_data(read_case(path))
    assert after.pop("findings")[:-1] == before.pop("findings")
    assert after == before
    assert read_case(path).findings[-1].corrects == 3
    assert path.read_text().endswith("  - {check: pads, answer: sound, corrects: 3}\n")


# Corrections ------------------------------------------------------------------------------------

PADS, FLOAT = "{check: pads, answer: sound}", "{check: bore-float, answer: 0.9 mm}"
NOT_ONE = "is no earlier answer of the same check"


@pytest.mark.parametrize(
    ("lines", "fault"),
    [
        ((PADS, "{check: pads, answer: burnt, corrects: 2}"), "'pads' was answered before as 1"),
        ((PADS, FLOAT, "{check: pads, answer: burnt, corrects: 2}"), "answered before as 1"),
        ((PADS, PADS, "{check: pads, answer: burnt, corrects: 0}"), "answered before as 1, 2"),
        ((PADS, "{check: pads, answer: burnt, corrects: -1}"), "answered before as 1"),
        (("{check: pads, answer: burnt, corrects: 1}",), "'pads' was not answered before; leave"),
        ((PADS, "{removed: cover, corrects: 1}"), "it stands on an answer only"),
    ],
)
def test_a_correction_of_what_is_no_earlier_answer_of_that_check(
    lines: tuple[str, ...], fault: str
) -> None:
    (line,) = faults_of(with_findings(*lines))
    place, _, text = line.partition(": ")
    assert place == f"a.yaml:{len(lines) + 2}:5"
    assert NOT_ONE in text
    assert fault in text


def test_removals_are_not_counted() -> None:
    lines = ("{removed: cover}", PADS, "{removed: half}", "{check: pads, answer: x, corrects: 1}")
    assert parse_case(with_findings(*lines), "a.yaml").findings[-1].corrects == 1


@pytest.mark.parametrize("number", ["one", "1.5", "true", '"1"'])
def test_a_correction_is_a_whole_number(number: str) -> None:
    (line,) = faults_of(with_findings(PADS, f"{{check: pads, answer: x, corrects: {number}}}"))
    assert line.startswith("a.yaml:4:40: a whole number is expected here")


def test_all_slips_are_told_at_once() -> None:
    text = with_findings(
        "{check: pads}", "{check: pads, answer: x, corrects: 9}", "{removed: cover, corrects: 1}"
    ).replace("case: a\n", "case: a\ndistance: 84,000 km\n")
    told = faults_of(text)
    assert [line.split(": ")[0] for line in told] == [
        "a.yaml:2:11", "a.yaml:4:5", "a.yaml:5:5", "a.yaml:6:5",
    ]  # fmt: skip


# Figures and texts ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("distance", "fault"),
    [
        ("84,000 km", "84,000 can be read in two ways; write 84000 or 84.000"),
        ("far", "not a reading"),
        ("84000", "this must be text; put it in quotes"),
        ('"84000"', "the unit is missing"),
        ("12 h", "but a distance is wanted"),
    ],
)
def test_a_distance_has_a_unit(distance: str, fault: str) -> None:
    (line,) = faults_of(f"case: a\ndistance: {distance}\n")
    assert line.startswith("a.yaml:2:11: ")
    assert fault in line


@pytest.mark.parametrize(
    "written",
    ["0,045 in", "1,14 ± 0,02 mm", "about 0,9 mm", "~0,9 mm", "-0,15 mm", "1,14", "3/64 in"],
)
def test_a_decimal_comma_stands_within_braces(written: str) -> None:
    """YAML takes the comma for the end of an entry: 'an entry has no 045 in'."""
    for more in ("", ", seat: bench", ", note: twice"):
        line = f"{{check: bore-float, answer: {written}{more}}}"
        (entry,) = parse_case(with_findings(line), "a.yaml").findings
        assert entry.answer is not None
        assert raw_answer(entry.answer) == written
        assert entry.note == ("twice" if "twice" in more else "")


def test_a_colon_in_a_complaint_names_the_mend() -> None:
    """'mapping values are not allowed' tells a mechanic nothing."""
    (line,) = faults_of("case: a\ncomplaint: it whines: low range jumps out\n")
    assert line.startswith("a.yaml:2:21: ")
    assert line.endswith("; a text that holds ': ' stands in quotes")
    text = "it whines: low range jumps out"
    assert parse_case(f"case: a\ncomplaint: {quote(text)}\n", "a.yaml").complaint == text


def test_a_key_that_there_is_not_names_the_nearest() -> None:
    (line,) = faults_of("case: a\nvehicel: 7\n")
    assert line == "a.yaml:2:1: a case has no 'vehicel'; did you mean 'vehicle'?"
    (line,) = faults_of(with_findings("{check: pads, answer: x, correct: 1}"))
    assert "did you mean 'corrects'?" in line


def test_an_empty_key_says_so() -> None:
    assert faults_of("case: a\ncustomer:\n") == (
        "a.yaml:2:10: this is empty; write it or delete the key",
    )
