"""JSON Schemas of the four kinds of file in a pack, generated from the model."""

from __future__ import annotations

import json
from typing import Any

from headwater.book.files import RECORDS, Pack, SampleFile, Sections
from headwater.book.model import Chain
from headwater.book.shape import record_fields, record_schema

DRAFT = "https://json-schema.org/draft/2020-12/schema"


def book_schemas() -> dict[str, str]:
    """Return file name -> text of each schema, ready to be written."""
    schemas = {
        "pack": record_schema(Pack),
        "chain": record_schema(Chain),
        "cases": record_schema(SampleFile),
        "sections": _sections_schema(),
    }
    return {f"{name}.schema.json": _text(name, schema) for name, schema in schemas.items()}


def _sections_schema() -> dict[str, Any]:
    properties: dict[str, Any] = {}
    for section, field in record_fields(Sections).items():
        properties[section] = {
            "type": "object",
            "description": field.metadata["doc"],
            "additionalProperties": record_schema(RECORDS[section]),
        }
    return {"type": "object", "properties": properties, "additionalProperties": False}


def _text(name: str, schema: dict[str, Any]) -> str:
    head = {"$schema": DRAFT, "title": f"Headwater book: {name}"}
    return json.dumps(head | schema, indent=1, ensure_ascii=False) + "\n"
