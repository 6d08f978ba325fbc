r"""Which characters may be shown: the one rule for every pen.

What comes from a case file or a shop's own pack is text and nothing else. Characters that no page
may hold (controls, halves of pairs, noncharacters), that end a line unseen, or that turn the
writing direction round are shown as U+FFFD, so that nothing hidden survives or vanishes unseen.
"""

from __future__ import annotations

import json
import re

SHOWN_INSTEAD = "\ufffd"
_TURNS = "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"
_NONE = "\ufdd0-\ufdef" + "".join(chr(p << 16 | 0xFFFE) + chr(p << 16 | 0xFFFF) for p in range(17))
_ALWAYS = f"\x7f-\x9f\u2028\u2029\ud800-\udfff{_TURNS}{_NONE}"
_UNFIT = re.compile(f"[\x00-\x1f{_ALWAYS}]")
_UNFIT_IN_ROWS = re.compile(f"[\x00-\x09\x0b\x0c\x0e-\x1f{_ALWAYS}]|\r(?!\n)")
_SPACES = re.compile(r"[\s\u2028\u2029]+")
_FORMULA = ("=", "+", "-", "@", "＝", "＋", "－", "＠")


def fit(text: str) -> str:
    r"""Return text with every character that may not be shown replaced, spaces as they are.

    >>> fit("a  \x1b[31m")
    'a  \ufffd[31m'
    """
    return _UNFIT.sub(SHOWN_INSTEAD, text)


def fit_rows(text: str) -> str:
    r"""Return a text of several lines with every such character replaced; the lines stay.

    >>> fit_rows("a\n\x9b31m\r\n")
    'a\n\ufffd31m\r\n'
    """
    return _UNFIT_IN_ROWS.sub(SHOWN_INSTEAD, text)


def fit_json(text: str) -> str:
    r"""Return a JSON text with every such character spelled out: it reads back as it was.

    >>> fit_json('"\x9b\u202e"')
    '"\\u009b\\u202e"'
    """
    return _UNFIT_IN_ROWS.sub(lambda match: json.dumps(match.group())[1:-1], text)


def clean(text: str) -> str:
    r"""Return text on one line, without characters that a page may not hold.

    >>> clean("a\tb\r\nc")
    'a b c'
    """
    return fit(_SPACES.sub(" ", text).strip())


def cell_text(text: str) -> str:
    r"""Return text for a cell of a CSV table, which no spreadsheet takes for a formula.

    For words, not for figures: '-3' becomes text as well.

    >>> cell_text('=HYPERLINK("x")'), cell_text("\t@a"), cell_text("0.045 in")
    ('\'=HYPERLINK("x")', "'@a", '0.045 in')
    """
    shown = clean(text)
    return f"'{shown}" if shown.startswith(_FORMULA) else shown
