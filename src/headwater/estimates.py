"""Readings that are said to be rough: `~1 mm`, `about 1 mm`, `1 mm or so`.

A rough figure is taken to lie anywhere within half a step of the last place written or within a
tenth of the figure, whichever is more, evenly likely (GUM 4.3.7; the two widths are *common
practice, no source*): 'about 1 mm' is 0.5 to 1.5 mm, 'about 60 mm' is 54 to 66 mm.
"""

from __future__ import annotations

import math
import re
from typing import Final

SHARE: Final = 0.1
"""The share of the figure by which a rough one may be off."""

_LONGEST: Final = 200  # characters; nothing longer is a reading
_BEFORE: Final = re.compile(
    r"\A\s*(?:[~≈]|\b(?:about|abt|approx|approximately|around|roughly|circa|ca|some)\b\.?:?)\s*",
    re.I,
)
_AFTER: Final = re.compile(
    r"\s*(?:,?\s*\b(?:or so|or thereabouts|approx|roughly|about)\b\.?)\s*$", re.I
)
_FIGURE: Final = re.compile(
    r"(?:(?P<whole>\d+)(?:\s+|-))?(?P<top>\d+)/(?P<bottom>\d+)"
    r"|(?:\d*[.,](?P<decimals>\d+)|\d+)(?:e(?P<power>[+-]?\d{1,2}))?",
    re.I,
)


def plain_of(text: str) -> tuple[str, float]:
    """Return a reading without its 'about', and by how much it may be off in the unit written.

    That is 0 for a reading that is not said to be rough.

    >>> plain_of("about 1 mm"), plain_of("0,045 in or so"), plain_of("1.14 mm")
    (('1 mm', 0.5), ('0,045 in', 0.0045), ('1.14 mm', 0.0))
    """
    if len(text) > _LONGEST:
        return text, 0.0
    plain = _BEFORE.sub("", _AFTER.sub("", text), count=1)
    off_by = _off_by(plain) if plain != text else 0.0
    return (plain, off_by) if off_by else (text, 0.0)


def is_rough(text: str) -> bool:
    """Say whether a text of one or several readings says that they are rough."""
    parts = re.split(r";|, | and ", text)
    return any(plain_of(part)[1] for part in (text, *parts))


def standard_uncertainty(off_by: float) -> float:
    """Return the standard uncertainty of a value evenly likely within `off_by` to either side."""
    return off_by / math.sqrt(3)


def _off_by(text: str) -> float:
    found = _FIGURE.search(text)
    if found is None:
        return 0.0
    if found["bottom"]:
        step = 1 / max(1, int(found["bottom"]))
        size = int(found["whole"] or 0) + int(found["top"]) * step
    else:
        step = 10.0 ** (int(found["power"] or 0) - len(found["decimals"] or ""))
        size = float(found[0].replace(",", "."))
    return float(f"{max(step / 2, SHARE * size):.12g}")
