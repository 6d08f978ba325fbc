"""The strict reading of YAML: plain scalars, places, and everything that is refused."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headwater.errors import HeadwaterError, Place
from headwater.yamltext import MAX_DEPTH, Table, TextError, Value, parse, quote, read_file


def data(text: str) -> Any:
    """Return the parsed text without its places."""

    def bare(value: Value) -> Any:
        if isinstance(value.data, Table):
            return {key: bare(item) for key, _, item in value.data}
        if isinstance(value.data, tuple):
            return [bare(item) for item in value.data]
        return value.data

    return bare(parse(text, "x.yaml"))


@pytest.mark.parametrize(
    "text",
    [
        *("no", "yes", "on", "off", "y", "n", "True", "NO", "Null"),
        *("010", "0o10", "0x1F", "1_000", "1:30", "12:30:45", "1e-3", "1.", ".5", "+.5"),
        *(".inf", "-.inf", ".nan", "2001-01-01", "1.0e999", "=", "<<", "1.0e9999"),
        *("0.045 in", "12345678901234567890", "1,5"),
    ],
)
def test_what_only_looks_like_another_type_stays_text(text: str) -> None:
    assert data(f"a: {text}") == {"a": text}


@pytest.mark.parametrize(
    ("text", "value"),
    [
        *(("true", True), ("false", False), ("null", None), ("~", None), ("", None)),
        *(("0", 0), ("-7", -7), ("+7", 7), ("1.50", 1.5), ("1.5e-3", 0.0015), ("-0.25", -0.25)),
    ],
)
def test_plainest_spellings_have_their_type(text: str, value: object) -> None:
    found = data(f"a: {text}")["a"]
    assert found == value
    assert type(found) is type(value)


@pytest.mark.parametrize("text", ["'7'", '"7"', "'true'", "'~'", '""', "|\n  7", ">-\n  7"])
def test_quoted_scalars_are_text(text: str) -> None:
    assert isinstance(data(f"a: {text}")["a"], str)


def test_every_value_and_key_knows_its_place() -> None:
    tree = parse("a:\n  - b: 1\n    c: [x, y]\n", "x.yaml")
    assert isinstance(tree.data, Table)
    rows = tree.data.entries["a"].data
    assert isinstance(rows, tuple)
    row = rows[0].data
    assert isinstance(row, Table)
    assert row.key_places["c"] == Place("x.yaml", 3, 5)
    inner = row.entries["c"].data
    assert isinstance(inner, tuple)
    assert inner[1].place == Place("x.yaml", 3, 12)


BOMB = "a: &a [x, x]\nb: &b [*a, *a]\nc: &c [*b, *b]\nd: [*c, *c]\n"


@pytest.mark.parametrize(
    ("text", "place", "says"),
    [
        ("a: 1\nb: 2\na: 3\n", "3:1", "'a' stands here a second time (first in line 1)"),
        ("a:\n  b: 1\n  'b': 2\n", "3:3", "'b' stands here a second time (first in line 2)"),
        ("a: &x 1\n", "1:4", "anchors and aliases"),
        ("&x a: 1\n", "1:1", "anchors and aliases"),
        ("a: &x [1]\nb: *x\n", "1:4", "anchors and aliases"),
        ("a: *x\n", "1:4", "anchors and aliases"),
        ("*x : 1\n", "1:1", "anchors and aliases"),
        (BOMB, "1:4", "anchors and aliases"),
        ("a: &a [*a]\n", "1:4", "anchors and aliases"),
        ("a: !!str 1\n", "1:4", "tags are not used here"),
        ("!!str a: 1\n", "1:1", "tags are not used here"),
        ("a: ! 1\n", "1:4", "tags are not used here"),
        ("a: !own {b: 1}\n", "1:4", "tags are not used here"),
        ("!!python/object/apply:os.system ['true']\n", "1:1", "tags are not used here"),
        ("a: !!python/object:os.system x\n", "1:4", "tags are not used here"),
        ("a: 1\n---\nb: 2\n", "2:1", "several documents"),
        ("---\n---\n", "2:1", "several documents"),
        ("? [a]\n: 1\n", "1:3", "a key must be plain text"),
        ("a: [1\n", "2:1", "not readable as YAML"),
        ("a:\n\tb: 1\n", "2:1", "indent with spaces"),
        ("a: \x01\n", "1:1", "not readable as YAML"),
        ('a: "\\q"\n', "1:5", "not readable as YAML"),
        ("a: 'x\n", "2:1", "not readable as YAML"),
        ("a: \ud800\n", "1:1", "not readable as YAML"),
    ],
)
def test_refused_with_place(text: str, place: str, says: str) -> None:
    with pytest.raises(TextError) as caught:
        parse(text, "x.yaml")
    assert str(caught.value).startswith(f"x.yaml:{place}: ")
    assert says in caught.value.message
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("opening", ["[", "{a: ", "- ", "? "])
@pytest.mark.parametrize("times", [MAX_DEPTH + 2, 900, 100_000])
def test_depth_is_capped_without_recursion(opening: str, times: int) -> None:
    with pytest.raises(TextError, match=f"nested more than {MAX_DEPTH} deep|a key must be plain"):
        parse(opening * times, "x.yaml")


def test_depth_up_to_the_cap_is_read() -> None:
    assert str(data("[" * MAX_DEPTH + "]" * MAX_DEPTH)).count("[") == MAX_DEPTH


def test_one_document_with_its_marks_is_read() -> None:
    assert data("%YAML 1.1\n---\na: 1\n...\n") == {"a": 1}


@pytest.mark.parametrize("text", ["", "# nothing\n", "---\n", "\n\n"])
def test_an_empty_text_is_nothing(text: str) -> None:
    assert data(text) is None


def test_file_size_is_capped_before_reading_on(tmp_path: Path) -> None:
    path = tmp_path / "big.yaml"
    path.write_bytes(b"#" * 2_000_001)
    with pytest.raises(TextError, match="is larger than 2 MB; split it"):
        read_file(path, max_bytes=2_000_000)


def test_endless_file_is_not_read_at_all() -> None:
    with pytest.raises(TextError, match="is a device; name an ordinary file"):
        read_file(Path("/dev/zero"))


def test_not_utf_8_names_the_line(tmp_path: Path) -> None:
    path = tmp_path / "latin.yaml"
    path.write_bytes("a: 1\nb: Gehäuse\n".encode("latin-1"))
    with pytest.raises(TextError, match=r"latin.yaml:2:1: is not UTF-8 text; save it as UTF-8"):
        read_file(path)


def test_utf_8_with_mark_is_read(tmp_path: Path) -> None:
    path = tmp_path / "bom.yaml"
    path.write_bytes("a: Gehäuse\n".encode("utf-8-sig"))
    assert data(read_file(path)) == {"a": "Gehäuse"}


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("none.yaml", "no such file; check the name"),
        ("folder", "is a folder; name the file in it"),
        ("n" * 300, "cannot be read"),
        ("nul\0l", "cannot be read"),
        ("loop", "cannot be read"),
    ],
)
def test_files_that_cannot_be_read(tmp_path: Path, name: str, says: str) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    with pytest.raises(TextError, match=says):
        read_file(tmp_path / name, shown="shown.yaml")


def test_unreadable_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "shut.yaml"
    path.write_text("a: 1\n")

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(TextError, match=r"shut.yaml: cannot be read \(permission denied\)"):
        read_file(path)


YAML_TEXT = st.text(st.characters(exclude_categories=["Cs"]))


@given(YAML_TEXT)
def test_quote_reads_back_as_the_same_text(text: str) -> None:
    for line in (f"a: {quote(text)}", f"- {{k: {quote(text)}, l: [{quote(text)}, x]}}"):
        assert "\n" not in line
    assert data(f"a: {quote(text)}") == {"a": text}
    assert data(f"{{k: {quote(text)}, l: [{quote(text)}, x]}}") == {"k": text, "l": [text, "x"]}
    assert data(f"{quote(text)}: 1") == {text: 1}


@pytest.mark.parametrize("text", ["no", "null", "true", "~", "", "7", "1.5", "- a", "a: b", "a #b"])
def test_quote_keeps_text_text(text: str) -> None:
    assert data(f"a: {quote(text)}") == {"a": text}


def test_quote_stands_in_for_bytes_that_are_no_text() -> None:
    told = quote("caf\udce9")
    assert data(f"a: {told}") == {"a": "caf?"}


@given(st.text(st.sampled_from("ab:-[]{}#&*!|>'\"%@`,? \n\t~01.e\x85\u2028é\ud800"), max_size=60))
def test_any_text_is_read_or_refused_with_one_line(text: str) -> None:
    faults: list[HeadwaterError] = []
    try:
        parse(text, "x.yaml")
    except HeadwaterError as error:
        faults.append(error)
    for fault in faults:
        assert fault.place is not None
        assert fault.place.line >= 1
        assert len(str(fault).splitlines()) == 1
