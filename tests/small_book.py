"""A small book without a fault, written as files, and ways to change it."""

from __future__ import annotations

from pathlib import Path

PACK = """\
pack: small
version: "1.0"
title: A small book
attributes:
  drive:
    ask: How is it driven?
    values: {chain: by a chain, gear: by gears}
family: {drive: chain}
"""

WORDS = """\
sources:
  handbook: {title: An invented handbook}
cautions:
  hot: {text: Hot oil burns; let it cool.}
parts:
  bore: {title: front bore}
  fork: {title: range fork}
removals:
  cover: {title: cover off, minutes: 10}
  half: {title: rear half off, minutes: 20, after: [cover], cautions: [hot]}
gauges:
  indicator: {title: dial indicator, u: 0.01 mm, source: handbook}
limits:
  float:
    title: bearing float
    dimension: length
    unit: mm
    source: common-practice
    bands:
      - {name: in-limits, upto: 0.5 mm}
      - {name: past-limit}
    families:
      - when: {drive: [gear]}
        source: common-practice
        bands:
          - {name: in-limits, upto: 0.8 mm}
          - {name: past-limit}
"""

CONDITIONS = """\
conditions:
  bore-worn:
    title: front bore worn
    kind: damage
    part: bore
    origin:
      common: common
      alone: the float cannot be mistaken
      corrections:
        - {action: machine, text: Bush the bore., minutes: 60}
  gear-displaced:
    title: gear sits rearward
    kind: state
    unobservable: only while it turns
  pads-burnt:
    title: pads burnt
    kind: damage
    part: fork
    dispositions:
      - {action: replace, text: Fit a new fork., minutes: 15}
    danger: {advice: limp, because: the range may let go, limits: at walking pace}
"""

CHECKS = """\
checks:
  pads:
    ask: How do the pads look?
    seats: [bench]
    minutes: 2
    after: [half]
    good: Flat and grey.
    bad: Dark and thin.
    means: Something pressed on them; the pads do not say what.
    answers:
      burnt: {says: burnt, shows: {pads-burnt: decisive}}
      sound: {says: sound, rules-out: {pads-burnt: decisive}}
  bore-float:
    ask: How large is the float?
    seats: [bench]
    minutes: 5
    after: [half]
    good: Hardly any.
    bad: It rattles.
    means: The bearing has room in its bore.
    reading: {limit: float, gauge: indicator, possible: [0 mm, 5 mm]}
    answers:
      in-limits: {rules-out: {bore-worn: strong}}
      past-limit: {shows: {bore-worn: decisive}}
"""

CHAIN = """\
chain: bore-burns-pads
title: A worn bore burns the pads
found: pads-burnt
because:
  - gear-displaced: {how: the gear presses on the fork, often: usually}
  - bore-worn: {how: the bearing floats back, often: always}
verdict: bore-worn
"""

CASES = """\
cases:
  - name: float past the limit
    given: {pads: burnt, bore-float: 0.9 mm}
    expect: {origins: {bore-worn: proven}, released: {bore: machine}}
    why: the float names the bore
  - name: pads alone
    given: {pads: burnt}
    expect: {verdict: open, held: [fork]}
    why: the end of a chain does not say where it began
"""

FILES = {
    "pack.yaml": PACK,
    "words.yaml": WORDS,
    "conditions.yaml": CONDITIONS,
    "checks.yaml": CHECKS,
    "bore-burns-pads.yaml": CHAIN,
    "bore-burns-pads.cases.yaml": CASES,
}


def write_book(folder: Path, **changed: str) -> Path:
    """Write the small book into a folder; `changed` replaces files, by name without suffix."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in FILES.items():
        key = name.removesuffix(".yaml").replace("-", "_").replace(".", "_")
        (folder / name).write_text(changed.pop(key, text), encoding="utf-8")
    assert not changed, f"no such file in the small book: {sorted(changed)}"
    return folder


def change(folder: Path, file: str, old: str, new: str) -> Path:
    """Change one passage of a file of the book, which must stand there once."""
    path = folder / file
    text = path.read_text(encoding="utf-8") if path.exists() else ""
    assert text.count(old) == 1 or not old, f"'{old}' stands {text.count(old)} times in {file}"
    path.write_text(text.replace(old, new) if old else text + new, encoding="utf-8")
    return path
