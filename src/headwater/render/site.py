"""The pages of the house: a template with papers and records, its style sheet and its script.

What goes into a template comes from the table of outputs, or is plain: a session, an assessment or
a record of the book is refused, so that no template can word what the gate has not let out.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache
from importlib.resources import files
from typing import Any
from urllib.parse import quote

from headwater.case.picture import is_picture
from headwater.render.clean import clean
from headwater.render.code import code_drawing
from headwater.render.fill import fill
from headwater.render.look import COLOURS, DARK
from headwater.render.pages import charts_of, drawings_of
from headwater.view.labels import LABELS
from headwater.view.paper import Paper, Photograph

PLAIN = (str, int, float, bool, type(None), Enum)
SHOWN = ("headwater.view.", "headwater.ledger.records", "headwater.render.")
"""Where the records are made that a page may lay out."""


def site_page(template: str, values: Mapping[str, Any]) -> str:
    """Return a page. Raises TypeError where a value is nothing that a page may hold."""
    for name, value in values.items():
        if not _may_be_shown(value):
            raise TypeError(f"'{name}' is no output: {type(value).__name__}")
    own = {"say": LABELS, "link": link_of, "drawings": drawings_of(), "stamp": _stamp()}
    own["charts"] = charts_of()
    own["code_of"] = code_drawing
    own["pictures"] = pictures_of(str(values.get("case", "")))
    return fill(f"site/{template}", {**values, **own}, clean)


def _may_be_shown(value: Any) -> bool:
    if isinstance(value, (*PLAIN, Paper)) or hasattr(value, "__html__"):
        return True
    if isinstance(value, (list, tuple)):
        return all(map(_may_be_shown, value))
    if isinstance(value, Mapping):
        return all(map(_may_be_shown, (*value, *value.values())))
    if not is_dataclass(value) or not type(value).__module__.startswith(SHOWN):
        return False
    return all(_may_be_shown(object.__getattribute__(value, field.name)) for field in fields(value))


def link_of(name: str) -> str:
    """Return the name of a case as a part of an address; '/' and a first '.' mean something there.

    >>> link_of("a/b c"), link_of(".."), link_of("~")
    ('a~1b%20c', '~2.', '~0')
    """
    safe = name.replace("~", "~0").replace("/", "~1")
    return quote(f"~2{safe[1:]}" if safe.startswith(".") else safe, safe="")


def pictures_of(case: str) -> Callable[[Photograph], str]:
    """Return what gives the address of a picture of a case; nothing where it is none of ours."""

    def address(picture: Photograph) -> str:
        ours = case and is_picture(picture.name)
        return f"/case/{link_of(case)}/photograph/{picture.name}" if ours else ""

    return address


def name_in(part: str) -> str:
    """Return the name of a case from a part of an address, whose per cents are read already.

    >>> [name_in(one) for one in ("a~1b c", "~2.", "~0")]
    ['a/b c', '..', '~']
    """
    return part.replace("~2", ".").replace("~1", "/").replace("~0", "~")


@cache
def site_style() -> str:
    """Return the style sheet of all pages, in light and dark."""
    return fill("site/look.css", {"light": COLOURS, "dark": DARK}, str, escaped=True)


def paged_style(name: str, sheet: str = "") -> str:
    """Return what puts the name of a case, whatever it is, at the foot of every printed page.

    `sheet` is the size of the paper; a browser's own print window says it where it is empty.
    """
    size = f" size: {sheet};" if sheet.isalnum() else ""
    escaped = "".join(f"\\{ord(sign):06x}" for sign in clean(name))
    return f'@page {{{size} @bottom-left {{ content: "{escaped}"; font: 9pt sans-serif; }} }}\n'


@cache
def site_script() -> str:
    """Return the script of all pages; each works without it."""
    script = files("headwater.render").joinpath("templates/site/small.js")
    return script.read_text(encoding="utf-8")


@cache
def site_mark() -> str:
    """Return the sign of the house, for a browser's tab."""
    return fill("site/mark.svg", {"colours": COLOURS}, str, escaped=True)


@cache
def _stamp() -> str:
    """Return what changes with style sheet and script, so that a browser may keep them."""
    return hashlib.sha256((site_style() + site_script()).encode()).hexdigest()[:16]
