"""A case and a pack that try to put markup into a report."""

from __future__ import annotations

from dataclasses import replace

from render.conftest import PUMP
from sessions import replay

from headwater.book.load import load_book
from headwater.book.records import Book
from headwater.case.read import parse_case
from headwater.session.session import Session

HOSTILE = (
    "<script>alert(1)</script>",
    "</title></style></svg><img src=x onerror=alert(1)>",
    "\"><svg onload='alert(1)'>",
    "]]><!-- --><?php ?><!DOCTYPE x>",
    "[go](javascript:alert(1)) ![i](http://a.example/i.png) <http://a.example> [r]: x",
    "http://a.example www.a.example a@a.example",
    "# heading\n# heading\n\n- item\n1. one\n> quote\n---\n===\n```\nx\n```",
    "| a | b |\n| - | - |\n| `x` | **y** | ~~z~~ | __w__ | $m$",
    "&lt;script&gt; &#60;script&#62; &amp; &colon;",
    "\x00\x07\x1b[31m\x7f\x85\u2028\u2029\u202eevil\u2066\ufeff\ufffe\ud800",
    "\\<b\\>\\*x\\*\\",
    "* x",
    "+ x",
    "    code",
    "{% raw %} {{ x }} ${x}",
    "averylongword" * 20,
)


def _yaml(text: str) -> str:
    """Return a text as a YAML string; what YAML itself refuses is left out."""
    shown = "".join(
        ch
        if ch.isascii() and ch.isprintable()
        else ("" if "\ud800" <= ch <= "\udfff" else _code(ch))
        for ch in text.replace("\\", "\\\\").replace('"', '\\"')
    )
    return f'"{shown}"'


def _code(ch: str) -> str:
    return f"\\U{ord(ch):08X}"


def hostile_replay() -> Session:
    """Return a held case in which every free text, and every title of the book, is hostile."""
    every = _yaml(" ".join(HOSTILE))
    text = (
        f"case: {every}\nseat: bench\ncomplaint: {every}\nearlier: {every}\n"
        f"book: {{name: {every}, version: {every}, digest: {every}}}\n"
        f"unit: {{family: {{body: alloy}}, history: {every}}}\n"
        f"done:\n  - {{action: {every}, on: {every}, note: {every}}}\n"
        f"outcome: {{comeback: true, after: {every}, note: {every}}}\n"
        f"findings:\n  - {{check: rotor-look, answer: scored, seat: bench, at: {every}, "
        f"note: {every}}}\n"
        "  - {check: body-look, answer: dont-know}\n"
        f"  - {{photograph: {every}, of: 1, note: {every}, at: {every}}}\n"
        f"  - {{approved: {{amount: {every}, by: {every}, how: phone, on: {every}, "
        f"quote: {every}}}}}\n"
    )
    return replay(_hostile_book(), parse_case(text, "case.yaml"))


def _hostile_book() -> Book:
    book = load_book([PUMP])
    bad = " ".join(HOSTILE)
    for cid, record in list(book.conditions.items()):
        book.conditions[cid] = replace(record, title=f"{cid} {bad}", plain=f"{cid} {bad}")
    for pid, part in list(book.parts.items()):
        book.parts[pid] = replace(part, title=f"{pid} {bad}")
    for kid, check in list(book.checks.items()):
        book.checks[kid] = replace(check, ask=f"{kid} {bad}")
    for ends, link in list(book.links.items()):
        book.links[ends] = replace(link, how=f"how {bad}")
    return book
