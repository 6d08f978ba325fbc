"""The look of pages and drawings: their colours, each with the ground it stands on.

Nothing is told by colour alone: every mark has its word, and lines and edges differ in kind. So the
page reads the same in grey, in print and to people who see colours differently.
"""

from __future__ import annotations

MARK = "<!-- Headwater report -->"
"""Stands in the first lines of every report and drawing, so that it may be written over."""

INK = "#17252c"
FAINT = "#46545c"
PAPER = "#ffffff"
MIST = "#edf2f0"
DEEP = "#0f4146"
RUST = "#7c2d12"
SAND = "#fbf1e4"
RULE = "#8a979d"

PAIRS: tuple[tuple[str, str], ...] = (
    (INK, PAPER),
    (INK, MIST),
    (INK, SAND),
    (FAINT, PAPER),
    (FAINT, MIST),
    (DEEP, PAPER),
    (PAPER, DEEP),
    (RUST, PAPER),
    (RUST, SAND),
    (PAPER, RUST),
)
"""Every writing colour with every ground that it is used on."""


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours written '#rrggbb'.

    WCAG 2.1, 'contrast ratio' and 'relative luminance'; the text of the formula is from memory.

    >>> round(contrast("#000000", "#ffffff"), 1)
    21.0
    """
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


CSS = f"""
html {{ color: {INK}; background: {PAPER}; font: 100%/1.5 sans-serif; }}
body {{ max-width: 58rem; margin: 0 auto; padding: 1rem; overflow-wrap: anywhere; }}
h1, h2, h3 {{ color: {DEEP}; background: {PAPER}; line-height: 1.2; break-after: avoid; }}
h1 {{
  font-size: 1.6rem;
  margin: 0.5rem 0 1rem;
  border-bottom: 5px double {DEEP};
  padding-bottom: 0.5rem;
}}
h2 {{ font-size: 1.2rem; margin: 2rem 0 0.5rem; }}
h3 {{ font-size: 1rem; margin: 1.25rem 0 0.5rem; }}
p, li {{ max-width: 44rem; }}
.boxed {{
  color: {INK};
  background: {SAND};
  border: 2px solid {RUST};
  padding: 0.6rem 0.8rem;
}}
.quiet {{ color: {FAINT}; background: {PAPER}; font-size: 0.9rem; }}
.held {{ color: {PAPER}; background: {RUST}; font-weight: bold; padding: 0 0.4rem; }}
.released {{
  color: {DEEP};
  background: {PAPER};
  font-weight: bold;
  border: 1px solid {DEEP};
  padding: 0 0.4rem;
}}
dl {{ margin: 0; }}
dl div {{
  display: grid;
  grid-template-columns: minmax(0, 2fr) minmax(0, 3fr);
  gap: 1rem;
  border-bottom: 1px solid {RULE};
  padding: 0.3rem 0;
}}
dt {{ color: {FAINT}; background: {PAPER}; }}
dd {{ margin: 0; }}
table {{ border-collapse: collapse; width: 100%; }}
th {{
  color: {INK};
  background: {MIST};
  text-align: left;
  white-space: nowrap;
  min-width: 4.5em;
}}
td .held, td .released {{ white-space: nowrap; }}
th, td {{ border: 1px solid {RULE}; padding: 0.35rem 0.5rem; vertical-align: top; }}
td > span {{ display: block; width: fit-content; }}
tr, li, dl div {{ break-inside: avoid; }}
li {{ margin: 0.35rem 0; }}
figure {{ margin: 0.5rem 0 1.5rem; }}
svg {{ display: block; width: 100%; height: auto; max-width: 30rem; }}
footer {{
  color: {FAINT};
  background: {PAPER};
  font-size: 0.85rem;
  margin-top: 2rem;
  border-top: 1px solid {RULE};
  padding-top: 0.5rem;
}}
@media (max-width: 44rem) {{
  thead {{ display: none; }}
  table, tbody, tr, td {{ display: block; }}
  tr {{ border: 1px solid {RULE}; margin: 0 0 0.75rem; }}
  td {{ border: 0; }}
  td::before {{
    content: attr(data-head);
    display: block;
    color: {FAINT};
    background: {PAPER};
    font-size: 0.8rem;
  }}
  dl div {{ grid-template-columns: minmax(0, 1fr); gap: 0; }}
}}
@page {{ margin: 15mm; }}
@media print {{
  html {{ font-size: 10pt; }}
  body {{ max-width: none; padding: 0; }}
  svg {{ width: auto; max-width: 95mm; max-height: 225mm; }}
  figure, .boxed {{ break-inside: avoid; }}
  .held, th, .boxed {{ print-color-adjust: exact; -webkit-print-color-adjust: exact; }}
}}
"""
"""The style sheet of a page. A rule that sets a colour sets the ground under it as well."""
