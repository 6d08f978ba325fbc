"""A book that stays as it is, for fixed seeds: rivals, a circle, two deciders, a hint."""

from __future__ import annotations

from pathlib import Path

from headwater.book.load import load_book
from headwater.book.records import Book

PACK = """\
pack: practice
version: "1.0"
title: A book to practise on
family: {}
"""

WORDS = """\
parts:
  bore: {title: front bore}
  fork: {title: range fork}
  oil: {title: oil}
  seal: {title: rear seal}
  vent: {title: vent hose}
removals:
  out: {title: unit out, minutes: 60}
  half: {title: rear half off, minutes: 20, after: [out]}
"""

CONDITIONS = """\
conditions:
  bore-worn:
    title: front bore worn
    kind: damage
    part: bore
    origin: {common: common, corrections: [{action: machine, text: Bush the bore.}]}
  fork-bent:
    title: range fork bent
    kind: damage
    part: fork
    origin: {common: common, corrections: [{action: replace, text: Fit a straight fork.}]}
  dirt-left-in:
    title: dirt left in at the last repair
    kind: state
    part: oil
    origin: {common: occasional, corrections: [{action: clean, text: Flush it.}]}
  vent-blocked:
    title: vent hose blocked
    kind: damage
    part: vent
    origin: {common: common, corrections: [{action: clean, text: Clear the hose.}]}
  seal-cut:
    title: rear seal cut when it was fitted
    kind: damage
    part: seal
    origin: {common: occasional, corrections: [{action: replace, text: Fit a seal with a sleeve.}]}
  gear-displaced:
    title: gear sits rearward
    kind: state
    unobservable: only while it turns
  pads-burnt:
    title: pads burnt
    kind: damage
    part: fork
    dispositions: [{action: replace, text: Fit a fork with pads.}]
  crumbs-in-oil:
    title: crumbs in the oil
    kind: state
  seal-leaks:
    title: rear seal leaks
    kind: damage
    part: seal
    dispositions: [{action: replace, text: Fit a seal.}]
"""


def _check(cid: str, ask: str, bad: str, condition: str, sureness: str, after: str = "") -> str:
    return f"""\
  {cid}:
    ask: {ask}
    seats: [bench]
    minutes: 5
    after: [{after}]
    answers:
      {bad}: {{shows: {{{condition}: {sureness}}}}}
      sound: {{rules-out: {{{condition}: {sureness}}}}}
"""


CHECKS = "checks:\n" + "".join(
    _check(*row)
    for row in (
        ("pads-look", "How do the pads look?", "burnt", "pads-burnt", "decisive", "out"),
        ("pads-touch", "How do the pads feel?", "brittle", "pads-burnt", "decisive", "out"),
        ("bore-float", "How large is the float?", "large", "bore-worn", "decisive", "half"),
        ("fork-gauge", "Does the fork lie flat?", "rocks", "fork-bent", "decisive", "half"),
        ("hum", "Does it hum by hand?", "hums", "fork-bent", "weak"),
        ("oil-look", "What is in the oil?", "crumbs", "crumbs-in-oil", "decisive", "out"),
        (
            "old-dirt",
            "Is there dirt in the corners?",
            "dirt",
            "dirt-left-in",
            "decisive",
            "half",
        ),
        ("vent-look", "Can you blow through the vent?", "shut", "vent-blocked", "decisive"),
        ("lip-look", "How does the lip look?", "cut", "seal-cut", "decisive", "half"),
        ("wet-look", "Is it wet at the rear seal?", "wet", "seal-leaks", "decisive", "out"),
        # A second look at each origin, in an act of its own: one look alone proves none.
        ("bore-light", "Does light show round the ring?", "shows", "bore-worn", "decisive", "half"),
        ("fork-rule", "Does a rule lie on the fork?", "gaps", "fork-bent", "decisive", "half"),
        ("dirt-wash", "Does the wash leave grit?", "grit", "dirt-left-in", "decisive", "half"),
        ("vent-water", "Does water run through the hose?", "stays", "vent-blocked", "decisive"),
        ("lip-lens", "What does the lens show at the lip?", "nick", "seal-cut", "decisive", "half"),
    )
)


def _chain(name: str, found: str, because: str, verdict: str, wrong: str) -> str:
    return (
        f"chain: {name}\ntitle: {name.replace('-', ' ')}\nfound: {found}\nbecause:\n{because}"
        f"verdict: {verdict}\ntempting: {{repair: {wrong}, leads-to: the same again}}\n"
    )


FLOAT = "  - bore-worn: {how: the bearing floats back, often: always}\n"
PRESS = "  - gear-displaced: {how: the gear presses on the fork, often: usually}\n"
CHAINS = {
    "bore-burns-pads": ("pads-burnt", PRESS + FLOAT, "bore-worn", "only pads"),
    "fork-burns-pads": (
        "pads-burnt",
        "  - fork-bent: {how: a bent fork drags, often: usually}\n",
        "fork-bent",
        "only pads",
    ),
    "bore-makes-crumbs": (
        "crumbs-in-oil",
        "  - pads-burnt: {how: burnt pads crumble, often: usually}\n"
        "  - gear-displaced\n  - bore-worn\n",
        "bore-worn",
        "only oil",
    ),
    "dirt-burns-pads": (
        "pads-burnt",
        "  - crumbs-in-oil: {how: crumbs score the pads, often: rarely}\n"
        "  - dirt-left-in: {how: dirt comes loose, often: usually}\n",
        "dirt-left-in",
        "only pads",
    ),
    "vent-blows-seal": (
        "seal-leaks",
        "  - vent-blocked: {how: pressure lifts the lip, often: usually}\n",
        "vent-blocked",
        "only a seal",
    ),
    "cut-seal-leaks": (
        "seal-leaks",
        "  - seal-cut: {how: oil runs through the cut, often: usually}\n",
        "seal-cut",
        "only a seal",
    ),
}


def practice_book(folder: Path) -> Book:
    """Return the book, written into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    files = {"pack": PACK, "words": WORDS, "conditions": CONDITIONS, "checks": CHECKS}
    files |= {name: _chain(name, *told) for name, told in CHAINS.items()}
    for name, text in files.items():
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    return load_book([folder])
