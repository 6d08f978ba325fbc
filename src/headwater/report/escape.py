"""Makes foreign text safe to print: for HTML, for SVG and for Markdown.

What comes from a case file or a shop's own pack is text and nothing else. Characters that no page
may hold (controls, halves of pairs, noncharacters) and those that turn the writing direction round
are shown as U+FFFD, so that nothing hidden survives and nothing vanishes unseen.
"""

from __future__ import annotations

import html
import re

from headwater.render.clean import clean


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
