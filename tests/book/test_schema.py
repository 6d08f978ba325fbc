"""The schemas that editors use say what the loader takes."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from small_book import FILES

from headwater.book.schema import book_schemas
from headwater.yamltext import Table, Value, parse, read_file

KNOWLEDGE = Path(__file__).resolve().parents[2] / "knowledge"
PACKS = sorted(head.parent.name for head in KNOWLEDGE.glob("*/pack.yaml"))


def bare(value: Value) -> Any:
    """Return a tree without its places."""
    if isinstance(value.data, Table):
        return {key: bare(item) for key, _, item in value.data}
    return [bare(item) for item in value.data] if isinstance(value.data, tuple) else value.data


def kind_of(name: str, data: Any) -> str:
    """Return which of the schemas a file must fit."""
    if name == "pack.yaml":
        return "pack"
    if name.endswith(".cases.yaml"):
        return "cases"
    return "chain" if "chain" in data else "sections"


@pytest.fixture(scope="module")
def validators() -> dict[str, Any]:
    found = {}
    for name, text in book_schemas().items():
        schema = json.loads(text)
        jsonschema.Draft202012Validator.check_schema(schema)
        found[name.removesuffix(".schema.json")] = jsonschema.Draft202012Validator(schema)
    return found


def faults(validators: dict[str, Any], name: str, text: str) -> Iterator[str]:
    """Yield what a schema has against a file."""
    data = bare(parse(text, name))
    for error in validators[kind_of(name, data)].iter_errors(data):
        yield f"{name}: {error.json_path}: {error.message[:200]}"


@pytest.mark.parametrize("name", sorted(book_schemas()))
def test_the_shipped_schemas_are_fresh(name: str) -> None:
    stored = (KNOWLEDGE / "schema" / name).read_text(encoding="utf-8")
    assert stored == book_schemas()[name], "run 'headwater book schema knowledge/schema'"


@pytest.mark.parametrize("pack", PACKS)
def test_every_shipped_file_fits_its_schema(validators: dict[str, Any], pack: str) -> None:
    files = sorted((KNOWLEDGE / pack).rglob("*.yaml"))
    assert files
    found = [fault for path in files for fault in faults(validators, path.name, read_file(path))]
    assert found == []


@pytest.mark.parametrize("pack", PACKS)
def test_every_shipped_file_names_its_schema_in_the_first_line(pack: str) -> None:
    for path in sorted((KNOWLEDGE / pack).rglob("*.yaml")):
        first = path.read_text(encoding="utf-8").splitlines()[0]
        kind = kind_of(path.name, bare(parse(read_file(path), path.name)))
        assert first.startswith("# yaml-language-server: $schema="), path
        named = (path.parent / first.partition("$schema=")[2]).resolve()
        assert named == KNOWLEDGE / "schema" / f"{kind}.schema.json", path


@pytest.mark.parametrize("name", sorted(FILES))
def test_the_small_book_fits_the_schemas(validators: dict[str, Any], name: str) -> None:
    assert list(faults(validators, name, FILES[name])) == []


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("checks.yaml", "minutes: 2", "minutes: two"),
        ("checks.yaml", "minutes: 2\n", "minutes: 2\n    minute: 3\n"),
        ("checks.yaml", "seats: [bench]\n    minutes: 2", "seats: [bensh]\n    minutes: 2"),
        ("conditions.yaml", "    title: front bore worn\n", ""),
        ("conditions.yaml", "common: common", "common: 3"),
        ("bore-burns-pads.yaml", "often: usually", "often: mostly"),
        ("pack.yaml", 'version: "1.0"', "version: 1.0"),
        ("words.yaml", "parts:", "pieces:"),
    ],
)
def test_what_the_loader_refuses_the_schema_marks(
    validators: dict[str, Any], name: str, old: str, new: str
) -> None:
    assert FILES[name].count(old) == 1
    assert list(faults(validators, name, FILES[name].replace(old, new)))
