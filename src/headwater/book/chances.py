"""The figures an author writes as words: how often, how common, how sure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from headwater.book.problem import nearest
from headwater.book.shape import Reader
from headwater.book.tables import COMMON, OFTEN, SURENESS
from headwater.yamltext import Value


@dataclass(frozen=True, slots=True)
class Chance:
    """A probability with the word it was written as (`usually`), or the number itself."""

    p: float
    word: str

    @classmethod
    def _read(cls, table: Mapping[str, float], reader: Reader, value: Value) -> Chance | None:
        data = value.data
        if isinstance(data, str) and data in table:
            return cls(table[data], data)
        if isinstance(data, (int, float)) and not isinstance(data, bool) and 0 < data <= 1:
            return cls(float(data), f"{data:g}")
        words = ", ".join(table)
        mend = nearest(data, table) if isinstance(data, str) else ""
        reader.fault(value.place, f"write one of {words}, or a number above 0 up to 1{mend}")
        return None

    @staticmethod
    def _schema(table: Mapping[str, float]) -> dict[str, Any]:
        number = {"type": "number", "exclusiveMinimum": 0, "maximum": 1}
        return {"anyOf": [{"enum": list(table)}, number]}


@dataclass(frozen=True, slots=True)
class Often(Chance):
    """How often a link fires when its cause is present."""

    @classmethod
    def read_yaml(cls, reader: Reader, value: Value) -> Chance | None:
        """Read a word of the table or a number."""
        return cls._read(OFTEN, reader, value)

    @classmethod
    def schema_yaml(cls) -> dict[str, Any]:
        """Return the JSON Schema."""
        return cls._schema(OFTEN)


@dataclass(frozen=True, slots=True)
class Common(Chance):
    """How common an origin is among the units that come in."""

    @classmethod
    def read_yaml(cls, reader: Reader, value: Value) -> Chance | None:
        """Read a word of the table or a number."""
        return cls._read(COMMON, reader, value)

    @classmethod
    def schema_yaml(cls) -> dict[str, Any]:
        """Return the JSON Schema."""
        return cls._schema(COMMON)


@dataclass(frozen=True, slots=True)
class Sureness:
    """P(answer | condition present) and P(answer | absent) of an answer that shows it."""

    present: float
    absent: float
    word: str

    @property
    def against(self) -> tuple[float, float]:
        """P(answer | present) and P(answer | absent) of an answer that rules a condition out.

        A word is the other side of the same look; a number is written for the answer itself.
        """
        if self.word in SURENESS:
            return 1.0 - self.present, 1.0 - self.absent
        return self.absent, self.present

    @property
    def decisive(self) -> bool:
        """Only the word itself makes an answer decisive, never a number."""
        return self.word == "decisive"

    @classmethod
    def read_yaml(cls, reader: Reader, value: Value) -> Sureness | None:
        """Read a word of the table or `[P if present, P if absent]`."""
        data = value.data
        if isinstance(data, str) and data in SURENESS:
            return cls(*SURENESS[data], data)
        if isinstance(data, tuple) and len(data) == 2:
            pair = [item.data for item in data if isinstance(item.data, (int, float))]
            if len(pair) == 2 and all(0 < p < 1 for p in pair):
                return cls(float(pair[0]), float(pair[1]), f"{pair[0]:g}:{pair[1]:g}")
        mend = nearest(data, SURENESS) if isinstance(data, str) else ""
        words = ", ".join(SURENESS)
        reader.fault(value.place, f"write {words}, or [P if present, P if absent]{mend}")
        return None

    @classmethod
    def schema_yaml(cls) -> dict[str, Any]:
        """Return the JSON Schema."""
        number = {"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 1}
        pair = {"type": "array", "items": number, "minItems": 2, "maxItems": 2}
        return {"anyOf": [{"enum": list(SURENESS)}, pair]}
