"""Makes foreign text safe to print: for HTML, for SVG and for Markdown.

What comes from a case file or a shop's own pack is text and nothing else. Characters that no page
may hold (controls, halves of pairs, noncharacters) and those that turn the writing direction round
are shown as U+FFFD, so that nothing hidden survives and nothing vanishes unseen.
"""

from __future__ import annotations

import html
import re
import unicodedata

SHOWN_INSTEAD = "\ufffd"
_TURNS = frozenset("\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u061c")
_SPACES = re.compile(r"[\s\u2028\u2029]+")


def _fit(ch: str) -> bool:
    code = ord(ch)
    if ch in _TURNS or 0xFDD0 <= code <= 0xFDEF or code & 0xFFFE == 0xFFFE:
        return False
    return unicodedata.category(ch) not in ("Cc", "Cs")


def clean(text: str) -> str:
    r"""Return text on one line, without characters that a page may not hold.

    >>> clean("a\tb\r\nc")
    'a b c'
    """
    line = _SPACES.sub(" ", text).strip()
    return "".join(ch if _fit(ch) else SHOWN_INSTEAD for ch in line)


def markup(text: str) -> str:
    """Return text for HTML and SVG, between tags and inside quoted attributes.

    >>> markup('<b title="x">')
    '&lt;b title=&quot;x&quot;&gt;'
    """
    return html.escape(clean(text), quote=True)


_SIGNS = re.compile(r"([\\`*_\[\]|~$])")
_AT_START = re.compile(r"^([-+=#:]|\d+(?=[.)](?:\s|$)))")


def markdown(text: str) -> str:
    r"""Return text for Markdown (CommonMark and its tables): no sign of it works as markup.

    Bare addresses are broken up as well, for readers that turn them into links by themselves.

    >>> print(markdown("[go](http://x.example) <b>*now*</b>"))
    \[go\](http:\//x.example) &lt;b&gt;\*now\*&lt;/b&gt;
    >>> print(markdown("1. - # 0.045 in"))
    1\. - # 0.045 in
    """
    safe = html.escape(clean(text), quote=False)
    safe = _SIGNS.sub(r"\\\1", safe)
    safe = safe.replace("://", ":\\//").replace("@", "&#64;")
    safe = re.sub(r"(?i)\bwww\.", lambda m: m.group()[:-1] + "\\.", safe)
    return _AT_START.sub(_defused, safe)


def _defused(match: re.Match[str]) -> str:
    sign = match.group()
    if not sign[0].isdigit():
        return "\\" + sign
    return sign + "\\"
