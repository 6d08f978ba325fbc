"""Every rule of the book: the small book is clean, and one change makes one rule speak."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest
from small_book import CASES, CHAIN, CHECKS, CONDITIONS, change, write_book

from headwater.book.check import RULES, check_book
from headwater.book.load import read_packs
from headwater.book.problem import Problem

WORKS = {"ring-fit": ["bore", "ring"]}
PADS = "    ask: How do the pads look?\n"
MACHINE = "{action: machine, text: Bush the bore., minutes: 60}"
STATE = "    kind: state\n"
CHAIN_WORN = "  - bore-worn: {how: the bearing floats back, often: always}\n"
MODES = """\
reasons:
  thin-oil: {title: the oil film is thin}
modes:
  scuffed:
    of: pad
    title: scuffed
    source: common-practice
    looks: Smeared in the sense of rubbing.
    points-to: [thin-oil]
"""
MEANS = "    means: Something pressed on them; the pads do not say what.\n"
CRACK = """\
  crack-face:
    ask: On which face is the crack?
    seats: [bench]
    minutes: 1
    answers:
      left: {says: on the left, shows: {pads-burnt: weak}}
      right: {says: on the right, shows: {bore-worn: weak}}
"""
DRIVE = """\
  heard:
    ask: Does it howl?
    how: After a drive, listen at the case.
    seats: [hoist]
    minutes: 15
    answers:
      howls: {says: it howls, shows: {pads-burnt: weak}}
      quiet: {says: quiet, rules-out: {pads-burnt: weak}}
"""
WHICH_WAY = """\
  gear-displaced:
    ask: What does it smell of?
    seats: [call]
    minutes: 1
    means: It ran hot.
    answers:
      hot: {says: of hot oil, shows: {gear-displaced: weak}}
      burnt: {says: of burnt plastic, shows: {gear-displaced: strong}}
      none: {says: of nothing, rules-out: {gear-displaced: weak}}
"""
SAME = "  bore-is-worn:\n    title: the front bore is worn\n    kind: damage\n    part: bore\n"
SAID = "  {0}:\n    title: {0}\n    kind: state\n    part: bore\n    said: [{1}]\n"
WITH_MODES = "    modes: pad\n    reasons: {thin-oil: {pads-burnt: weak}}\n"


@dataclass(frozen=True)
class Change:
    """One change of the small book, the rule that must speak, at which text, saying what."""

    rule: str
    file: str
    old: str
    new: str
    at: str
    says: str


CHANGES = [
    # ids
    Change("ids", "words.yaml", "after: [cover]", "after: [covr]", "covr", "did you mean 'cover'?"),
    Change("ids", "checks.yaml", "limit: float", "limit: flote", "flote", "no limit 'flote'"),
    Change("ids", "checks.yaml", "shows: {pads-", "shows: {pad-", "pad-b", "no condition 'pad-bu"),
    Change("ids", "conditions.yaml", "part: fork", "part: frok", "frok", "no part 'frok'; did you"),
    Change("ids", "words.yaml", "source: handbook", "source: handbok", "handbok", "no source"),
    Change("ids", "words.yaml", "cautions: [hot]", "cautions: [hott]", "hott", "no caution 'hott'"),
    Change("ids", "bore-burns-pads.yaml", "- gear-disp", "- gear-misp", "gear-misp", "no conditio"),
    Change("ids", "bore-burns-pads.cases.yaml", "held: [fork]", "held: [frk]", "frk", "no part"),
    Change(
        "ids", "bore-burns-pads.cases.yaml", "bore-float:", "bore-flot:", "bore-flot", "no chec"
    ),
    # the chain and its end
    Change(
        "verdict",
        "bore-burns-pads.yaml",
        "verdict: bore-worn",
        "verdict: pads-burnt",
        "verdict:",
        "the verdict is 'pads-burnt' but the last cause is 'bore-worn'",
    ),
    Change(
        "verdict",
        "bore-burns-pads.yaml",
        CHAIN_WORN + "verdict: bore-worn",
        "verdict: gear-displaced",
        "verdict:",
        "'gear-displaced' is not an origin",
    ),
    Change(
        "verdict",
        "bore-burns-pads.yaml",
        CHAIN_WORN,
        "  - pads-burnt: {how: heat, often: rarely}\n" + CHAIN_WORN,
        "chain:",
        "condition twice",
    ),
    Change(
        "file-name",
        "bore-burns-pads.yaml",
        "chain: bore-burns-pads",
        "chain: bore-burns",
        "chain:",
        "save this chain as bore-burns.yaml",
    ),
    # origins
    Change(
        "origin",
        "conditions.yaml",
        "\n        - " + MACHINE,
        " []",
        "bore-worn:",
        "origin 'bore-worn' has no correction",
    ),
    Change(
        "origin",
        "checks.yaml",
        "shows: {bore-worn: decisive",
        "shows: {bore-worn: strong",
        "conditions.yaml|bore-worn:",
        "no check decides origin 'bore-worn'",
    ),
    Change(
        "origin",
        "conditions.yaml",
        "    part: bore\n",
        "    part: bore\n    unobservable: deep inside\n",
        "bore-worn:",
        "is called unobservable, yet check 'bore-float' decides it",
    ),
    Change(
        "cause",
        "conditions.yaml",
        "",
        "  lonely:\n    title: lonely\n" + STATE,
        "lonely:",
        "'lonely' is no origin and no chain leads to it",
    ),
    Change(
        "observable",
        "conditions.yaml",
        "    unobservable: only while it turns\n",
        "",
        "gear-displaced:",
        "no check decides 'gear-displaced'",
    ),
    # dispositions
    Change(
        "disposition", "conditions.yaml", "    part: fork\n", "", "pads-burnt:", "names no part"
    ),
    Change(
        "disposition",
        "conditions.yaml",
        "    dispositions:\n      - {action: replace, text: Fit a new fork., minutes: 15}\n",
        "",
        "pads-burnt:",
        "damage 'pads-burnt' has no disposition for its part",
    ),
    Change(
        "disposition",
        "conditions.yaml",
        "gear sits rearward\n" + STATE,
        "gear sits rearward\n"
        + STATE
        + "    dispositions: [{action: adjust, on: fork, text: Set it.}]\n",
        "gear-displaced:",
        "is no damage, so it has no disposition",
    ),
    Change(
        "disposition",
        "conditions.yaml",
        "    part: bore\n",
        "",
        "- {action: machine",
        "says no part; add 'on:'",
    ),
    # figures
    Change(
        "source",
        "checks.yaml",
        "good: Flat and grey.",
        "good: 3 mm thick",
        "pads:",
        "check 'pads' gives a figure without 'source:'",
    ),
    Change(
        "source", "checks.yaml", "the pads do not", "past 90 °C they", "pads:", "gives a figure"
    ),
    Change(
        "source",
        "bore-burns-pads.yaml",
        "often: usually",
        "often: 0.7",
        "gear-displaced",
        "a number in 'often' needs a 'source:'",
    ),
    Change(
        "source",
        "bore-burns-pads.yaml",
        "the gear presses",
        "by 2 mm the gear presses",
        "gear-displaced",
        "a figure in 'how' needs a 'source:'",
    ),
    Change(
        "source",
        "conditions.yaml",
        "common: common",
        "common: 0.3",
        "common: 0.3",
        "a number in 'common' needs a 'source:'",
    ),
    Change(
        "source",
        "conditions.yaml",
        "Bush the bore.",
        "Bush the bore to 80 mm.",
        "- {action: ma",
        "'0 mm' can name no source here",
    ),
    Change("source", "words.yaml", "Hot oil burns", "Oil at 90 °C burns", "hot:", "no source here"),
    # checks
    Change(
        "check",
        "checks.yaml",
        "seats: [bench]\n    minutes: 2",
        "seats: []\n    minutes: 2",
        "pads:",
        "check 'pads' names no seat",
    ),
    Change("check", "checks.yaml", "minutes: 2", "minutes: 0", "pads:", "takes no time"),
    Change(
        "check",
        "checks.yaml",
        "      sound: {says: sound, rules-out: {pads-burnt: decisive}}\n",
        "",
        "pads:",
        "needs at least two answers",
    ),
    Change(
        "check",
        "checks.yaml",
        "",
        "  idle:\n    ask: Why?\n    seats: [bench]\n    minutes: 1\n"
        "    answers: {one: {}, two: {}}\n",
        "idle:",
        "no answer of check 'idle' shows or rules",
    ),
    Change(
        "check",
        "checks.yaml",
        "      sound:",
        "      gone: {}\n      sound:",
        "gone:",
        "'gone' is understood everywhere; do not declare it",
    ),
    Change(
        "check",
        "checks.yaml",
        "{says: sound, rules",
        "{shows: {pads-burnt: weak}, rules",
        "sound:",
        "one answer both shows and rules out 'pads-burnt'",
    ),
    Change(
        "check",
        "checks.yaml",
        "seats: [bench]\n    minutes: 2",
        "seats: [call]\n    minutes: 2",
        "pads:",
        "a caller cannot do 'pads'",
    ),
    # disassembly
    Change(
        "removal",
        "words.yaml",
        "cover off, minutes: 10",
        "cover off, minutes: 0",
        "cover:",
        "removal 'cover' takes no time",
    ),
    Change(
        "removal",
        "checks.yaml",
        PADS,
        PADS + "    before: [cover]\n",
        "before:",
        "check 'pads' needs 'cover' both off and still on",
    ),
    # readings and limits
    Change(
        "reading",
        "checks.yaml",
        "      in-limits:",
        "      in-limit:",
        "bore-float:",
        "check 'bore-float' has no answer for band 'in-limits'",
    ),
    Change(
        "reading",
        "checks.yaml",
        "      past-limit:",
        "      odd: {}\n      past-limit:",
        "odd:",
        "limit 'float' has no band 'odd'",
    ),
    Change("reading", "words.yaml", "u: 0.01 mm", "u: 0.01 Nm", "checks.yaml|bore-float:", "Nm"),
    Change("reading", "words.yaml", "u: 0.01 mm", "u: fine", "checks.yaml|bore-float:", "fine"),
    Change(
        "work",
        "checks.yaml",
        "gauge: indicator, possible: [0 mm, 5 mm]}",
        "gauge: indicator, possible: [0 mm, 5 mm], work: ring-fitt}",
        "reading:",
        "no bench arithmetic 'ring-fitt'; did you mean 'ring-fit'?",
    ),
    Change(
        "work",
        "checks.yaml",
        "gauge: indicator, possible: [0 mm, 5 mm]}",
        "gauge: indicator, possible: [0 mm, 5 mm], work: ring-fit, inputs: {rng: 80 mm}}",
        "reading:",
        "'ring-fit' takes no 'rng'; did you mean 'ring'?",
    ),
    Change(
        "limit",
        "words.yaml",
        "upto: 0.5 mm",
        'upto: "0.5"',
        'upto: "0.5"',
        "unit is missing",
    ),
    Change(
        "limit", "words.yaml", "upto: 0.5 mm", "upto: 5 Nm", "- {name: in-limits, upto: 5", "Nm"
    ),
    Change("limit", "words.yaml", "unit: mm", "unit: Nm", "float:", "Nm"),
    Change("limit", "words.yaml", "dimension: length", "dimension: lenght", "float:", "lenght"),
    Change("limit", "words.yaml", ", upto: 0.5 mm}", "}", "- {name: in-limits}", "every band but"),
    Change(
        "limit",
        "words.yaml",
        "upto: 0.5 mm}\n",
        "upto: 0.5 mm}\n      - {name: mid, upto: 0.1 mm}\n",
        "float:",
        "the bands of limit 'float' do not run upwards",
    ),
    Change(
        "limit",
        "words.yaml",
        "      - {name: in-limits, upto: 0.5 mm}\n",
        "",
        "float:",
        "limit 'float' needs at least two bands",
    ),
    Change("limit", "words.yaml", "when: {drive: [gear]}", "when: {}", "- when:", "need 'when'"),
    # danger and names
    Change("danger", "conditions.yaml", "advice: limp", "advice: ok", "danger:", "or limp"),
    Change("danger", "conditions.yaml", ", limits: at walking pace", "", "danger:", "'limits:'"),
    Change(
        "danger",
        "conditions.yaml",
        "advice: limp",
        "advice: limp, likely: stop",
        "danger:",
        "milder",
    ),
    Change(
        "rename",
        "conditions.yaml",
        "    unobservable",
        "    replaces: [pads-burnt]\n    unobservable",
        "gear-displaced:",
        "'gear-displaced' replaces 'pads-burnt', which is still in use",
    ),
    Change(
        "rename",
        "conditions.yaml",
        STATE + "    unobservable",
        STATE + "    replaces: [old]\n    unobservable",
        "checks.yaml|pads:",
        "'old' is replaced by",
    ),
    # remedies
    *(
        Change("remedy", file, old, new, at, "belongs in a correction or disposition")
        for file, old, new, at in (
            ("conditions.yaml", "title: pads burnt", "title: replace the pads", "pads-burnt:"),
            ("conditions.yaml", STATE, STATE + "    plain: swap it\n", "gear-displaced:"),
            ("conditions.yaml", STATE, STATE + "    looks: then renew it\n", "gear-displaced:"),
            ("conditions.yaml", STATE, STATE + "    said: [rebuild]\n", "gear-displaced:"),
            ("conditions.yaml", "the range may let go", "exchange the unit", "pads-burnt:"),
            ("conditions.yaml", "at walking pace", "buy a fork", "pads-burnt:"),
            ("checks.yaml", "says: burnt", "says: fit a new fork", "pads:"),
            ("checks.yaml", "the pads do not", "order new pads and do not", "pads:"),
            ("bore-burns-pads.yaml", "the bearing floats", "replacing it floats", "bore-worn: {"),
            ("bore-burns-pads.yaml", "title: A worn bore burns", "title: Renew", "chain:"),
            ("words.yaml", "title: front bore", "title: replace bore", "bore:"),
            ("words.yaml", "rear half off", "rear half replaced", "half:"),
            ("words.yaml", "title: bearing float", "title: re-shim float", "float:"),
        )
    ),
    # attributes
    Change(
        "attribute",
        "words.yaml",
        "{drive: [gear]}",
        "{driv: [gear]}",
        "- when:",
        "there is no attribute 'driv'; did you mean 'drive'?",
    ),
    Change(
        "attribute",
        "words.yaml",
        "{drive: [gear]}",
        "{drive: [gears]}",
        "- when:",
        "'drive' cannot be 'gears'; did you mean 'gear'?",
    ),
    Change(
        "attribute",
        "pack.yaml",
        "family: {drive: chain}",
        "family: {drive: belt}",
        "pack:",
        "'drive' cannot be 'belt'",
    ),
    Change(
        "attribute",
        "bore-burns-pads.cases.yaml",
        "  - name: pads alone\n",
        "  - name: pads alone\n    family: {dive: gear}\n",
        "- name: pads alone",
        "attribute 'div",
    ),
    Change(
        "attribute",
        "bore-burns-pads.yaml",
        "often: usually}",
        "often: usually, when: {drive: [belt]}}",
        "gear-displaced",
        "'drive' cannot be 'belt'",
    ),
    Change(
        "assume",
        "pack.yaml",
        "    ask: How is it driven?\n",
        "    ask: How is it driven?\n    assume: belt\n",
        "ask: How is it",
        "'drive' cannot be 'belt'",
    ),
    # what nothing uses
    Change(
        "unused", "words.yaml", "parts:\n", "parts:\n  spare: {title: spare}\n", "spare:", "part"
    ),
    Change(
        "unused", "words.yaml", "cautions:\n", "cautions:\n  sharp: {text: Sharp.}\n", "sharp:", "c"
    ),
    Change(
        "unused", "words.yaml", "sources:\n", "sources:\n  tale: {title: Tale}\n", "tale:", "sourc"
    ),
    Change(
        "unused",
        "words.yaml",
        "removals:\n",
        "removals:\n  lid: {title: lid off, minutes: 1}\n",
        "lid:",
        "nothing uses removal 'lid'",
    ),
    Change("unused", "checks.yaml", ", gauge: indicator", "", "words.yaml|indicator:", "gauge"),
    Change(
        "unused",
        "conditions.yaml",
        "",
        "  apart:\n    title: apart\n" + STATE,
        "apart:",
        "no chain passes condition 'apart'",
    ),
    Change(
        "unused",
        "pack.yaml",
        "family:",
        "  pump:\n    ask: Which?\n    values: {yes: yes}\nfamily:",
        "ask: Which?",
        "nothing depends on attribute 'pump'",
    ),
    # cases
    Change(
        "cases",
        "bore-burns-pads.cases.yaml",
        CASES[CASES.index("  - name: pads") :],
        "",
        "bore-burns-pads.yaml|chain:",
        "needs two cases in bore-burns-pads.cases.yaml",
    ),
    Change(
        "cases",
        "bore-burns-pads.cases.yaml",
        "origins: {bore-worn: proven}, ",
        "",
        "bore-burns-pads.yaml|chain:",
        "no case of chain 'bore-burns-pads' comes to its verdict",
    ),
    Change(
        "cases",
        "bore-burns-pads.cases.yaml",
        "verdict: open,",
        "origins: {bore-worn: probable},",
        "bore-burns-pads.yaml|chain:",
        "add a near miss",
    ),
    Change(
        "answer",
        "bore-burns-pads.cases.yaml",
        "given: {pads: burnt}",
        "given: {pads: brunt}",
        "given: {pads: brunt}",
        "'brunt' is no answer to 'pads'; did you mean 'burnt'?",
    ),
    Change(
        "answer",
        "bore-burns-pads.cases.yaml",
        "given: {pads: burnt}",
        "given: {pads: 7}",
        "given: {pads: 7}",
        "'7' is no answer to 'pads'",
    ),
    Change(
        "answer",
        "bore-burns-pads.cases.yaml",
        "given: {pads: burnt}",
        "given: {pads: [burnt]}",
        "given: {pads: [",
        "one word is the answer to 'pads'",
    ),
    # usages, renewals, readings, conflicts
    Change(
        "usage",
        "conditions.yaml",
        "      common: common",
        "      common: common\n      usage: true",
        "common: common",
        "'bore-worn' is damage, so it is no usage",
    ),
    Change(
        "usage",
        "conditions.yaml",
        "      common: common",
        "      common: common\n      traces: [pads-burnt]",
        "common: common",
        "needs no 'traces'",
    ),
    Change(
        "renewed",
        "words.yaml",
        "title: cover off,",
        "title: cover off, consumes: [fork],",
        "consumes: [fork]",
        "'fork' is used up here, so it needs 'renewed: when-removed'",
    ),
    Change(
        "conflict",
        "checks.yaml",
        "",
        "conflicts:\n  two: {answers: {pads: brunt, bore-float: in-limits}, because: both}\n",
        "two:",
        "'pads' has no answer 'brunt'; did you mean 'burnt'?",
    ),
    Change(
        "conflict",
        "checks.yaml",
        "",
        "conflicts:\n  two: {answers: {pads: burnt}, because: alone}\n",
        "two:",
        "needs answers of two checks",
    ),
    Change(
        "presumes",
        "checks.yaml",
        "    ask: How do the pads look?",
        "    ask: How do the pads look?\n    presumes: [pads-burnt]",
        "presumes:",
        "presumes 'pads-burnt', which it is there to find",
    ),
    Change(
        "parts",
        "checks.yaml",
        "shows: {pads-burnt: decisive}}",
        "shows: {bore-worn: weak}, rules-out: {pads-burnt: weak}}",
        "pads:",
        "every answer of check 'pads' rules out 'pads-burnt'",
    ),
    # how it is asked
    Change("worded", "checks.yaml", "    good: Flat and grey.\n", "", "pads:", "lacks 'good:'"),
    Change("worded", "checks.yaml", "    bad: It rattles.\n", "", "bore-float:", "lacks 'bad:'"),
    Change("worded", "checks.yaml", MEANS, "", "pads:", "lacks 'means:'"),
    Change(
        "two-questions",
        "checks.yaml",
        PADS,
        "    ask: Are the pads dark, and is the fork bent?\n",
        "pads:",
        "'ask' of check 'pads' asks two things",
    ),
    Change(
        "two-questions",
        "checks.yaml",
        PADS,
        PADS + "    say: Are they dark? Is the fork bent?\n",
        "pads:",
        "'say' of check 'pads' asks two things",
    ),
    Change(
        "presupposed",
        "checks.yaml",
        "",
        CRACK,
        "crack-face:",
        "check 'crack-face' takes for granted what only it could have found",
    ),
    Change("driven", "checks.yaml", "", DRIVE, "heard:", "says 'After a drive'"),
    Change(
        "drive-time",
        "checks.yaml",
        PADS,
        PADS + "    driving: true\n",
        "pads:",
        "check 'pads' is driven in 2 minutes: give at least 10",
    ),
    Change(
        "told-alone",
        "checks.yaml",
        "",
        WHICH_WAY.replace("    answers:", "    told-alone: none\n    answers:"),
        "told-alone",
        "'none' is no answer of check 'gear-displaced' that shows 'gear-displaced'",
    ),
    # what is claimed
    Change(
        "always",
        "bore-burns-pads.cases.yaml",
        "released: {bore: machine}",
        "statuses: {gear-displaced: ruled-out}",
        "bore-burns-pads.yaml|- bore-worn:",
        "always, yet case 'float past the limit' has the one without the other",
    ),
    Change(
        "twin",
        "conditions.yaml",
        "",
        SAME,
        "bore-is-worn:",
        "'bore-is-worn' means the same as 'bore-worn'",
    ),
    Change(
        "said-twice",
        "conditions.yaml",
        "",
        SAID.format("bore-dry", "worn bore") + SAID.format("bore-oval", "the bore is worn"),
        "bore-oval:",
        "'the bore is worn' is said of 'bore-oval' and of 'bore-dry'",
    ),
    Change(
        "one-look",
        "conditions.yaml",
        "      alone: the float cannot be mistaken\n",
        "",
        "bore-worn:",
        "only one act shows origin 'bore-worn'",
    ),
    # the graph
    Change(
        "loop",
        "bore-burns-pads.yaml",
        CHAIN_WORN + "verdict: bore-worn",
        "  - other: {how: x, often: rarely}\nverdict: other",
        "conditions.yaml|gear-displaced:",
        "no origin reaches 'gear-displaced': its loop has no way in",
    ),
]


def problems_of(folder: Path) -> list[Problem]:
    """Return what `book check` would print."""
    book, problems = read_packs([folder])
    return [*problems, *check_book(book, WORKS)]


def line_of(folder: Path, file: str, text: str) -> tuple[str, int]:
    """Return file and line of the first line that holds a text; 'other.yaml|text' names a file."""
    name, _, wanted = text.rpartition("|")
    path = folder / (name or file)
    lines = path.read_text(encoding="utf-8").splitlines()
    return str(path), 1 + next(n for n, line in enumerate(lines) if wanted in line)


@pytest.fixture
def small(tmp_path: Path) -> Path:
    return write_book(tmp_path / "small")


def test_the_small_book_is_clean(small: Path) -> None:
    assert problems_of(small) == []


@pytest.mark.parametrize("case", CHANGES, ids=[f"{c.rule}-{n}" for n, c in enumerate(CHANGES)])
def test_one_change_makes_its_rule_speak(small: Path, case: Change) -> None:
    change(small, case.file, case.old, case.new)
    if "'old' is replaced by" in case.says:
        change(small, "checks.yaml", PADS, PADS + "    replaces: [old]\n")
    found = problems_of(small)
    place = line_of(small, case.file, case.at)
    spoken = [p for p in found if p.check == case.rule and case.says in p.message]
    assert spoken, [str(p) for p in found]
    assert place in [(p.place.file, p.place.line) for p in spoken], [str(p) for p in spoken]
    severity = {name: how for name, how, _ in RULES}.get(case.rule, "error")
    assert all(p.severity == severity and p.place.column for p in spoken)


def test_every_rule_has_a_change_that_it_finds() -> None:
    elsewhere = {"repeat", "override", "mode", "says", "possible", "rivals", "material"}
    assert {name for name, _, _ in RULES} | {"work"} <= {c.rule for c in CHANGES} | elsewhere


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("points-to: [thin-oil]", "points-to: []", "mode 'scuffed' points to no reason"),
        ("points-to: [thin-oil]", "points-to: []", "no mode points to reason 'thin-oil'"),
        (
            "    points-to",
            "    neighbours: {scuffed: x}\n    points-to",
            "is not another mode of li",
        ),
        ("looks: Smeared", "looks: Replace it. Smeared", "belongs in a correction"),
        ("of: pad", "of: pads", "there is no list of modes 'pad'; did you mean 'pads'?"),
    ],
)
def test_modes(small: Path, old: str, new: str, says: str) -> None:
    (small / "modes.yaml").write_text(MODES)
    change(small, "checks.yaml", PADS, PADS + WITH_MODES)
    assert problems_of(small) == []
    change(small, "modes.yaml", old, new)
    found = [p for p in problems_of(small) if p.check == "mode"]
    assert says in "; ".join(p.message for p in found), found


def test_reasons_need_a_list_of_modes_that_points_to_them(small: Path) -> None:
    (small / "modes.yaml").write_text(
        MODES
        + MODES[MODES.index("  scuffed") :]
        .replace("scuffed:", "torn:")
        .replace("of: pad", "of: seal")
        .replace("thin-oil", "dirt")
        .replace("title: scuffed", "title: torn")
    )
    change(small, "modes.yaml", "modes:\n", "  dirt: {title: dirt}\nmodes:\n")
    change(small, "checks.yaml", PADS, PADS + WITH_MODES.replace("thin-oil", "dirt"))
    assert "no mode of list 'pad' points to 'dirt'" in [p.message for p in problems_of(small)]
    change(small, "checks.yaml", "    modes: pad\n", "")
    assert "'reasons', 'any-mode' and 'offers' need 'modes', the list they are about" in [
        p.message for p in problems_of(small)
    ]


def test_a_chain_that_repeats_another_is_warned_of(small: Path) -> None:
    (small / "zz.yaml").write_text(CHAIN.replace("bore-burns-pads", "zz"))
    (small / "zz.cases.yaml").write_text(CASES)
    (found,) = problems_of(small)
    assert (found.severity, found.check) == ("warning", "repeat")
    assert found.message == "chain 'zz' repeats chain 'bore-burns-pads'"


def test_what_a_shop_overrides_is_noted(small: Path, tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "pack.yaml").write_text('pack: shop\nversion: "1"\ntitle: ours\n')
    (shop / "ours.yaml").write_text("parts:\n  fork: {title: our fork}\n")
    book, problems = read_packs([small, shop])
    (found,) = [*problems, *check_book(book, WORKS)]
    assert (found.severity, found.check, found.place.line) == ("note", "override", 2)
    assert found.message == f"part 'fork' of pack 'shop' overrides {small}/words.yaml:7:3"


def test_cases_beside_no_chain_are_reported(small: Path) -> None:
    (small / "bore-burns.cases.yaml").write_text(CASES)
    found = [p for p in problems_of(small) if p.check == "cases"]
    assert "bore-burns" in found[0].message
    assert found[0].place.file == str(small / "bore-burns.cases.yaml")


TOLD = (
    CHECKS
    + """\
  towed-asked:
    ask: Was it towed?
    seats: [call]
    minutes: 1
    answers:
      yes: {says: towed, is: plain, shows: {towed: decisive}}
      no: {says: never towed, is: plain, rules-out: {towed: decisive}}
"""
)
TOWED = """\
  towed:
    title: towed in gear
    kind: state
    origin:
      common: common
      usage: true
      traces: [pads-burnt]
      corrections:
        - {action: advise, text: Tow it on a trailer., minutes: 5}
"""
TOWED_CHAIN = CHAIN.replace("bore-burns-pads", "towing-burns-pads").replace("bore-worn", "towed")
TOWED_CASES = """\
cases:
  - name: it was told
    given: {pads: burnt, towed-asked: yes}
    expect: {not-origins: [towed], held: [fork]}
    why: told, not proven
  - name: it was denied
    given: {pads: burnt, towed-asked: no}
    expect: {not-origins: [towed]}
    why: something else burnt them
"""


@pytest.mark.parametrize(("said", "told"), [("yes", True), ("no", False), ("dont-know", False)])
def test_a_usage_that_is_told_and_not_named_exercises_its_chain(
    said: str, told: bool, tmp_path: Path
) -> None:
    root = write_book(tmp_path / "book", checks=TOLD, conditions=CONDITIONS + TOWED)
    (root / "towing-burns-pads.yaml").write_text(TOWED_CHAIN)
    cases = TOWED_CASES.replace("towed-asked: yes", f"towed-asked: {said}")
    (root / "towing-burns-pads.cases.yaml").write_text(cases)
    says = "no case of chain 'towing-burns-pads' comes to its verdict"
    assert any(says in str(p) for p in problems_of(root)) is not told


def test_problems_print_as_place_severity_rule_and_message(small: Path) -> None:
    path = change(small, "checks.yaml", "minutes: 2", "minutes: 0")
    (found,) = problems_of(small)
    expected = f"{path}:2:3: error [check] check 'pads' takes no time; give its minutes"
    assert str(found) == expected
