"""Writes a view as plain data for other programs: JSON, its schema, and tables for a spreadsheet.

The fields of a view record are the keys of its JSON, so that one record is both the contract and
what people read. The schema is made from the record's annotations (JSON Schema, draft 2020-12).
"""

from __future__ import annotations

import csv
import io
import json
import types
from collections.abc import Iterable, Sequence
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any, Union, get_args, get_origin, get_type_hints

from headwater.render.clean import cell_text, fit_json

DRAFT = "https://json-schema.org/draft/2020-12/schema"
_PLAIN: dict[Any, dict[str, Any]] = {
    str: {"type": "string"},
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
    type(None): {"type": "null"},
    Any: {},
}


def plain(value: Any) -> Any:
    """Return a view as dicts, lists and scalars."""
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, (tuple, list)):
        return [plain(item) for item in value]
    return str(value) if isinstance(value, str) else value


def as_json(value: Any) -> str:
    """Return a view as JSON text. Raises ValueError for a number that is none (NaN, infinity)."""
    return fit_json(json.dumps(plain(value), indent=2, ensure_ascii=False, allow_nan=False))


def schema_of(cls: type, title: str) -> dict[str, Any]:
    """Return the strict JSON Schema of a view record: every key is there, and no other.

    What a record's annotations cannot say stands in its `RULE`, a part of a schema by itself.
    """
    kinds: dict[str, Any] = {}
    whole = _object(cls, kinds)
    head = {"$schema": DRAFT, "title": title}
    return head | whole | ({"$defs": dict(sorted(kinds.items()))} if kinds else {})


def _object(cls: type, kinds: dict[str, Any]) -> dict[str, Any]:
    hints = get_type_hints(cls)
    names = [field.name for field in fields(cls)]
    return {
        "type": "object",
        "properties": {name: _hint(hints[name], kinds) for name in names},
        "required": names,
        "additionalProperties": False,
        **getattr(cls, "RULE", {}),
    }


def _hint(hint: Any, kinds: dict[str, Any]) -> dict[str, Any]:
    if hint in _PLAIN:
        return dict(_PLAIN[hint])
    origin, args = get_origin(hint), get_args(hint)
    if origin in (Union, types.UnionType):
        return {"anyOf": [_hint(arg, kinds) for arg in args]}
    if origin in (tuple, list):
        return {"type": "array", "items": _hint(args[0], kinds)}
    if origin is dict:
        return {"type": "object", "additionalProperties": _hint(args[1], kinds)}
    if isinstance(hint, type) and issubclass(hint, Enum):
        return {"enum": [member.value for member in hint]}
    if isinstance(hint, type) and is_dataclass(hint):
        name = hint.__name__.removesuffix("View").lower()
        if name not in kinds:
            kinds[name] = {}  # a record may hold its own kind
            kinds[name] = _object(hint, kinds)
        return {"$ref": f"#/$defs/{name}"}
    raise TypeError(f"no schema for {hint!r}")


def as_csv(head: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    """Return a table as CSV (RFC 4180), UTF-8 text; words can be no formula, figures stay."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(head)
    for row in rows:
        writer.writerow([cell_text(item) if isinstance(item, str) else item for item in row])
    return out.getvalue()
