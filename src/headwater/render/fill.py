"""Fills in templates: the only module that imports Jinja2, and only when a page is written.

No template escapes anything. Every text on its way into one passes a single hook: for HTML it is
cleaned and then escaped by Jinja2 itself, for Markdown it is made into text without markup.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from typing import Any, get_args

from headwater.view.paper import Block

Tidy = Callable[[str], str]


def fill(template: str, values: Mapping[str, Any], tidy: Tidy, *, escaped: bool = False) -> str:
    """Return a template of `templates/` with its values in place.

    Every text passes `tidy`; `escaped` says that what it returns has no signs of markup left,
    otherwise Jinja2 escapes it for HTML.
    """
    return str(_environment(tidy, escaped).get_template(template).render(values))


def ready(markup: str) -> str:
    """Return markup that a pen has made itself, which goes into a template as it is."""
    from markupsafe import Markup

    return Markup(markup)


@cache
def _environment(tidy: Tidy, escaped: bool) -> Any:
    from jinja2 import PackageLoader, StrictUndefined
    from jinja2.sandbox import SandboxedEnvironment

    def finalize(value: object) -> str:
        if hasattr(value, "__html__"):
            return value  # type: ignore[return-value]  # ready markup, or what a macro returned
        text = tidy(f"{value:.1f}" if isinstance(value, float) else str(value))
        return ready(text) if escaped else text

    environment = SandboxedEnvironment(
        loader=PackageLoader("headwater.render"),
        autoescape=True,
        finalize=finalize,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.tests |= {kind.__name__.lower(): _test_of(kind) for kind in get_args(Block)}
    return environment


def _test_of(kind: type) -> Callable[[object], bool]:
    """Return what `{% if block is grid %}` and its like ask."""
    return lambda block: isinstance(block, kind)
