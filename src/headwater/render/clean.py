r"""Which characters may be shown: the one rule for every pen.

What comes from a case file or a shop's own pack is text and nothing else. Characters that no page
may hold (controls, halves of pairs, noncharacters) and those that turn the writing direction round
are shown as U+FFFD, so that nothing hidden survives and nothing vanishes unseen.
"""

from __future__ import annotations

import re

SHOWN_INSTEAD = "\ufffd"
_TURNS = "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"
_NONE = "\ufdd0-\ufdef" + "".join(chr(p << 16 | 0xFFFE) + chr(p << 16 | 0xFFFF) for p in range(17))
_UNFIT = re.compile(f"[\x00-\x1f\x7f-\x9f\ud800-\udfff{_TURNS}{_NONE}]")
_SPACES = re.compile(r"[\s\u2028\u2029]+")
_FORMULA = ("=", "+", "-", "@", "＝", "＋", "－", "＠")


def fit(text: str) -> str:
    r"""Return text with every character that may not be shown replaced, spaces as they are.

    >>> fit("a  \x1b[31m")
    'a  \ufffd[31m'
    """
    return _UNFIT.sub(SHOWN_INSTEAD, text)


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
