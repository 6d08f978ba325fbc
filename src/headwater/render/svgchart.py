"""Draws a chart as SVG, for a page or for a small screen.

What is told apart is told apart by its kind of line: what was found is a thick line or a full disc,
what was reckoned is dashed, an interval is a hatched band or a line with two ends. All words are
text. It holds no script, no link and no style sheet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from headwater.render.clean import clean
from headwater.render.fill import fill
from headwater.render.lettering import Face, text_width, wrap
from headwater.render.look import COLOURS
from headwater.view.chart import Bar, Chart, Curve, Dot

NOTE, STRONG = Face(12.0, "faint"), Face(12.0, "ink", bold=True)
LEFT, RIGHT, TOP, FOOT = 48.0, 16.0, 24.0, 40.0
FIELD = 210.0
"""Height of the field of a chart with two axes."""
BAR, ROW = 12.0, 10.0
BESIDE = 560.0
"""From this width on the name of a bar stands beside it, not above."""
QUARTERS = (0.0, 0.25, 0.5, 0.75, 1.0)
ENDS = (0.1, 0.25, 0.5, 1.0)
"""Where the scale of bars may end."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """A path and of which kind it is: `grid`, `axis`, `band`, `found`, `reckoned` or `span`."""

    kind: str
    path: str


@dataclass(frozen=True, slots=True)
class Put:
    """A line of text in its place; `anchor` says which end of it stands there."""

    x: float
    y: float
    line: str
    face: Face = NOTE
    anchor: str = "start"


def draw_chart(chart: Chart, name: str, width: float) -> str:
    """Return a chart as one SVG element; `name` keeps its ids apart from those of others."""
    strokes: list[Stroke] = []
    texts: list[Put] = []
    discs: list[tuple[float, float]] = []
    if chart.bars:
        height = _bars(chart, width, strokes, texts)
    else:
        height = _field(chart, width, strokes, texts, discs)
    drawn = {
        "name": name,
        "heading": chart.heading,
        "width": width,
        "height": height,
        "colours": COLOURS,
        "strokes": strokes,
        "discs": discs,
        "texts": texts,
    }
    return fill("chart.svg", drawn, clean)


# --- two axes ---------------------------------------------------------------------------------


def _field(
    chart: Chart,
    width: float,
    strokes: list[Stroke],
    texts: list[Put],
    discs: list[tuple[float, float]],
) -> float:
    """Add curves and marks over two axes; return where it ends."""
    most = chart.ticks[-1][0] if chart.ticks else 1.0
    bottom, room = TOP + FIELD, width - LEFT - RIGHT

    def x(across: float) -> float:
        return LEFT + room * across / most

    def y(share: float) -> float:
        return bottom - FIELD * share

    texts.append(Put(4.0, 12.0, chart.up, STRONG))
    for share in QUARTERS:
        kind = "axis" if share == 0.0 else "grid"
        strokes.append(Stroke(kind, f"M{LEFT:.1f} {y(share):.1f}H{LEFT + room:.1f}"))
        texts.append(Put(LEFT - 6, y(share) + 4, f"{100 * share:.0f} %", anchor="end"))
    for across, words in _apart(chart.ticks, x):
        strokes.append(Stroke("axis", f"M{x(across):.1f} {bottom:.1f}v5"))
        texts.append(Put(x(across), bottom + 18, words, anchor="middle"))
    texts.append(Put(LEFT + room, bottom + 34, chart.across, STRONG, "end"))
    for curve in chart.curves:
        strokes += _curve(curve, x, y)
    for dot in chart.marks:
        strokes.append(Stroke("span", _span(x(dot.across), y(dot.low), y(dot.high))))
        discs.append((x(dot.across), y(dot.share)))
    return _legend(chart, bottom + FOOT, width, strokes, texts, discs)


def _apart(
    ticks: Sequence[tuple[float, str]], x: Callable[[float], float]
) -> Iterator[tuple[float, str]]:
    """Yield the ticks whose words stand clear of those before them."""
    free = -1e9
    for across, words in ticks:
        half = text_width(words, NOTE) / 2
        if x(across) - half > free:
            yield across, words
            free = x(across) + half + 6


def _curve(
    curve: Curve, x: Callable[[float], float], y: Callable[[float], float]
) -> Iterator[Stroke]:
    def line(of: Callable[[Dot], float]) -> list[tuple[float, float]]:
        found: list[tuple[float, float]] = []
        for dot in curve.dots:
            if curve.in_steps and found:
                found.append((x(dot.across), found[-1][1]))
            found.append((x(dot.across), y(of(dot))))
        return found

    def path(points: Sequence[tuple[float, float]]) -> str:
        return "M" + "L".join(f"{a:.1f} {b:.1f}" for a, b in points)

    if curve.spread:
        band = [*line(lambda dot: dot.high), *reversed(line(lambda dot: dot.low))]
        yield Stroke("band", f"{path(band)}z")
    yield Stroke("found" if curve.found else "reckoned", path(line(lambda dot: dot.share)))


def _span(x: float, low: float, high: float) -> str:
    return f"M{x - 4:.1f} {low:.1f}h8M{x - 4:.1f} {high:.1f}h8M{x:.1f} {low:.1f}V{high:.1f}"


def _legend(
    chart: Chart,
    top: float,
    width: float,
    strokes: list[Stroke],
    texts: list[Put],
    discs: list[tuple[float, float]],
) -> float:
    """Add what each kind of line is, a line for each; return where it ends."""
    kinds = [("found" if curve.found else "reckoned", curve.name) for curve in chart.curves]
    kinds += [("band", "95 % interval")] if any(curve.spread for curve in chart.curves) else []
    kinds += [("span", chart.marked)] if chart.marks else []
    y = top + 14
    for kind, words in kinds:
        if kind == "band":
            strokes.append(Stroke(kind, f"M{LEFT:.1f} {y - 9:.1f}h26v10h-26z"))
        elif kind == "span":
            strokes.append(Stroke(kind, _span(LEFT + 13, y + 3, y - 11)))
            discs.append((LEFT + 13, y - 4))
        else:
            strokes.append(Stroke(kind, f"M{LEFT:.1f} {y - 4:.1f}h26"))
        for line in wrap(words, width - LEFT - 40 - RIGHT, NOTE):
            texts.append(Put(LEFT + 34, y, line))
            y += NOTE.leading
        y += 4
    return y


# --- bars -------------------------------------------------------------------------------------


def _bars(chart: Chart, width: float, strokes: list[Stroke], texts: list[Put]) -> float:
    """Add a bar for each share; return where they end."""
    beside = 0.36 * width if width >= BESIDE else 0.0
    said = max(text_width(bar.words, NOTE) for bar in chart.bars) + 10
    left, room = beside + 8.0, width - beside - 16.0 - (said if beside else 0.0)
    most = next(end for end in ENDS if end >= min(max(bar.high for bar in chart.bars), 1.0))
    top, y = 22.0, 28.0
    for bar in chart.bars:
        y = _bar(bar, (left, room, most, beside), y, strokes, texts) + ROW
    for share in (0.0, most / 2, most):
        x = left + room * share / most
        strokes.insert(0, Stroke("grid" if share else "axis", f"M{x:.1f} {top:.1f}V{y - 4:.1f}"))
        anchor = "start" if not share else "end" if share == most else "middle"
        texts.append(Put(x, 14.0, f"{100 * share:.3g} %", anchor=anchor))
    texts.append(Put(left, y + 12, chart.across, STRONG))
    for line in wrap("hatched: the share; line with two ends: 95 % interval", width - 16, NOTE):
        y += NOTE.leading
        texts.append(Put(8.0, y + 14, line))
    return y + 22


def _bar(
    bar: Bar,
    across: tuple[float, float, float, float],
    top: float,
    strokes: list[Stroke],
    texts: list[Put],
) -> float:
    left, room, most, beside = across
    names = wrap(bar.name, beside or room, NOTE)
    middle = top + BAR / 2
    for number, line in enumerate(names):
        texts.append(Put(4.0 if beside else left + 5, top + 10 + number * NOTE.leading, line))
    bottom = top + max(len(names) * NOTE.leading, BAR)
    if not beside:
        texts.append(Put(left + 5, bottom + 10, bar.words))
        bottom += NOTE.leading + 3
        middle = bottom + BAR / 2
        bottom += BAR
    end = left + room * min(bar.share, most) / most
    if bar.share > 0:
        rise = middle - BAR / 2
        strokes.append(Stroke("band", f"M{left:.1f} {rise:.1f}H{end:.1f}v{BAR:.1f}H{left:.1f}z"))
    low, high = (left + room * min(one, most) / most for one in (bar.low, bar.high))
    whisker = f"M{low:.1f} {middle - 4:.1f}v8M{high:.1f} {middle - 4:.1f}v8"
    strokes.append(Stroke("span", f"{whisker}M{low:.1f} {middle:.1f}H{high:.1f}"))
    if beside:
        texts.append(Put(left + room + 8, middle + 4, bar.words))
    return bottom
