"""What an answer, a link, a question or an action may claim: rules that take a second record."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_book import CASES, CHAIN, CHECKS, CONDITIONS, PACK, WORDS, write_book

from headwater.book.check import check_book
from headwater.book.load import read_packs
from headwater.view.book import Checked, checked_paper, expected

CREEP = """\
  ring-creeps:
    title: ring creeps in its bore
    kind: damage
    part: bore
    origin:
      common: common
      alone: a creeping ring cannot be mistaken
      corrections:
        - {action: machine, text: Bush it., minutes: 60}
"""
CREEP_CHAIN = CHAIN.replace("bore-burns-pads", "creep-burns-pads").replace(
    "bore-worn", "ring-creeps"
)
ASKED = """\
  asked:
    ask: {ask}
    seats: [{seat}]
    minutes: 12
    good: Nothing.
    bad: Something.
    means: Little.
{more}    answers:
      {yes}: {{says: {says}, shows: {{pads-burnt: weak}}}}
      no: {{says: {no}, rules-out: {{pads-burnt: weak}}}}
"""


def told(folder: Path, rule: str) -> list[str]:
    """Return what one rule says of a pack."""
    book, problems = read_packs([folder])
    return [p.message for p in (*problems, *check_book(book)) if p.check == rule]


def with_rival(folder: Path, sure: str, often: str = "always") -> Path:
    """Write the small book with a second origin that the same reading shows so surely."""
    root = write_book(
        folder,
        conditions=CONDITIONS + CREEP,
        checks=CHECKS.replace(
            "bore-worn: decisive}", f"bore-worn: decisive, ring-creeps: {sure}}}"
        ),
    )
    chain = CREEP_CHAIN.replace("often: always", f"often: {often}")
    (root / "creep-burns-pads.yaml").write_text(chain)
    (root / "creep-burns-pads.cases.yaml").write_text(CASES)
    return root


@pytest.mark.parametrize(("sure", "speaks"), [("decisive", 2), ("strong", 1), ("weak", 0)])
def test_an_answer_decides_no_origin_that_a_rival_gives_too(
    sure: str, speaks: int, tmp_path: Path
) -> None:
    found = told(with_rival(tmp_path / "book", sure), "rivals")
    assert len(found) == speaks, found
    if found:
        assert "settles 'bore-worn', yet 'ring-creeps', which leads to 'gear-displaced'" in found[0]


def test_a_cause_and_what_it_brings_about_are_no_rivals(tmp_path: Path) -> None:
    root = with_rival(tmp_path / "book", "decisive")
    chain = CHAIN.replace("chain: bore-burns-pads", "chain: creep-wears-bore")
    chain = chain.replace("always}\nverdict: bore-worn", "always}\n" + LINK)
    (root / "creep-wears-bore.yaml").write_text(chain)
    assert told(root, "rivals") == []


LINK = "  - ring-creeps: {how: it rubs the bore away, often: usually}\nverdict: ring-creeps"


@pytest.mark.parametrize(("often", "speaks"), [("sometimes", True), ("usually", False)])
def test_always_is_not_said_beside_a_neighbour_that_is_said_to_do_it_sometimes(
    often: str, speaks: bool, tmp_path: Path
) -> None:
    found = told(with_rival(tmp_path / "book", "weak", often), "always")
    assert [("its neighbour 'ring-creeps' only sometimes" in text) for text in found] == [
        True
    ] * speaks


@pytest.mark.parametrize(
    ("ask", "yes", "says", "speaks"),
    [
        ("Is it hot, and is there a smell?", "hot", "hot", True),
        ("Is it hot, and how far did it go?", "hot", "hot", True),
        ("Is it hot or does it smell?", "yes", "it is", True),
        ("Is it hot or does it smell?", "yes", "hot or smelling", False),
        ("Is it hot or does it smell?", "hot", "hot", False),
        ("Is there a noise that rises and does not stop?", "yes", "it is", False),
        ("Where is it hot, and is there a smell?", "hot", "hot", False),
    ],
)
def test_what_one_answer_cannot_part_is_two_questions(
    ask: str, yes: str, says: str, speaks: bool, tmp_path: Path
) -> None:
    more = ASKED.format(ask=ask, seat="bench", yes=yes, says=says, no="no", more="")
    found = told(write_book(tmp_path / "book", checks=CHECKS + more), "two-questions")
    assert bool(found) is speaks, found


@pytest.mark.parametrize(
    ("ask", "no", "more", "speaks"),
    [
        ("Where does the case leak?", "at the back", "", True),
        ("Where does the case leak?", "it is dry", "", False),
        ("How far does the crack run?", "a little", "    presumes: [pads-burnt]\n", False),
        ("How far does the crack run?", "a little", "", True),
        ("How far does the wheel run?", "a little", "", False),
    ],
)
def test_a_question_about_a_finding_has_a_way_out(
    ask: str, no: str, more: str, speaks: bool, tmp_path: Path
) -> None:
    text = ASKED.format(ask=ask, seat="bench", yes="far", says="far", no=no, more=more)
    root = write_book(tmp_path / "book", checks=CHECKS + text.replace("      no:", "      little:"))
    assert bool(told(root, "presupposed")) is speaks


@pytest.mark.parametrize(
    ("seat", "more", "speaks"),
    [
        ("hoist", "    how: Drive gently for a mile, then listen.\n", True),
        ("hoist", "    how: Drive gently for a mile, then listen.\n    driving: true\n", False),
        ("hoist", "    how: Listen on the drive side.\n", False),
        ("call", "    how: Drive gently for a mile, then listen.\n", False),
    ],
)
def test_what_sends_the_vehicle_out_is_marked(
    seat: str, more: str, speaks: bool, tmp_path: Path
) -> None:
    text = ASKED.format(ask="Does it howl?", seat=seat, yes="yes", says="yes", no="no", more=more)
    root = write_book(tmp_path / "book", checks=CHECKS + text)
    assert bool(told(root, "driven")) is speaks


def test_what_a_caller_is_asked_needs_no_good_and_bad(tmp_path: Path) -> None:
    text = ASKED.format(ask="Does it howl?", seat="call", yes="yes", says="yes", no="no", more="")
    bare = text.replace("    good: Nothing.\n    bad: Something.\n", "")
    assert told(write_book(tmp_path / "book", checks=CHECKS + bare), "worded") == []
    bare = bare.replace("    means: Little.\n", "")
    (found,) = told(write_book(tmp_path / "bare", checks=CHECKS + bare), "worded")
    assert "lacks 'means:'" in found


METAL = """\
  housing:
    ask: What is it made of?
    values: {magnesium: magnesium, iron: iron}
family:"""


@pytest.mark.parametrize(
    ("text", "when", "speaks"),
    [
        ("Weld the bore and machine it.", "", True),
        ("Have it ground wet.", "", True),
        ("Do not weld it; bush it.", "", False),
        ("Bush the bore.", "", False),
        ("Weld the bore and machine it.", "    when: {housing: [iron]}\n", False),
        ("Weld the bore and machine it.", "    when: {housing: [magnesium, iron]}\n", True),
        ("Weld it., when: {housing: [iron]", "", False),
        ("Weld it., when: {housing: [magnesium]", "", True),
    ],
)
def test_magnesium_is_kept_from_the_flame(
    text: str, when: str, speaks: bool, tmp_path: Path
) -> None:
    root = write_book(
        tmp_path / "book",
        pack=PACK.replace("family:", METAL),
        words=WORDS.replace("title: front bore", "title: front housing with its bore"),
        conditions=CONDITIONS.replace("Bush the bore.", text + "}" * text.count("{")).replace(
            "    part: bore\n", "    part: bore\n" + when
        ),
    )
    assert bool(told(root, "material")) is speaks


def test_two_of_one_name_in_units_that_differ_are_two(tmp_path: Path) -> None:
    same = CREEP.replace("ring creeps in its bore", "the front bore worn")
    assert told(write_book(tmp_path / "one", conditions=CONDITIONS + same), "twin")
    gear = same.replace("    part:", "    when: {drive: [gear]}\n    part:")
    chain = CONDITIONS.replace("    part: bore\n", "    part: bore\n    when: {drive: [chain]}\n")
    assert told(write_book(tmp_path / "two", conditions=chain + gear), "twin") == []


@pytest.mark.parametrize(
    ("drive", "words", "speaks"),
    [("chain", "it howls", True), ("gear", "it howls", False), ("chain", "it hums", False)],
)
def test_words_that_two_conditions_share_are_told_where_one_unit_can_have_both(
    drive: str, words: str, speaks: bool, tmp_path: Path
) -> None:
    other = CREEP.replace(
        "    part: bore\n", f"    part: bore\n    said: [{words}]\n    when: {{drive: [{drive}]}}\n"
    )
    own = CONDITIONS.replace(
        "    part: bore\n", "    part: bore\n    said: [it howls]\n    when: {drive: [chain]}\n", 1
    )
    root = write_book(tmp_path / "book", conditions=own + other)
    assert bool(told(root, "said-twice")) is speaks


def test_what_is_expected_of_a_unit_is_summed_over_the_origins_it_can_have(tmp_path: Path) -> None:
    """Common is six in a hundred: one such fault, another of other units, and a usage."""
    gear = CREEP.replace("    part: bore\n", "    part: bore\n    when: {drive: [gear]}\n")
    towed = CREEP.replace("ring-creeps", "towed").replace("kind: damage", "kind: state")
    usage = towed.replace("common: common\n", "common: 0.2\n      usage: true\n")
    root = write_book(tmp_path / "book", conditions=CONDITIONS + gear + usage)
    book, _ = read_packs([root])
    (unit,) = expected(book)
    assert (unit.pack, unit.faults, unit.usages) == ("small", 0.06, 0.2)
    last = checked_paper(Checked(book, ())).blocks[-1]
    assert "small 0.06 faults and 0.20 usages" in str(last)


@pytest.mark.parametrize(
    ("seat", "act", "speaks"),
    [("hoist", "", False), ("hoist", "    act: look\n", True), ("call", "", True)],
)
def test_two_looks_are_two_acts_unless_they_are_one(
    seat: str, act: str, speaks: bool, tmp_path: Path
) -> None:
    """All that the owner tells is one act, and so are two answers of one look."""
    one = ASKED.format(ask="Is it?", seat=seat, yes="yes", says="yes", no="no", more=act)
    one = one.replace("pads-burnt: weak}}\n      no", "bore-worn: strong}}\n      no")
    bare = CHECKS.replace("bore-worn: decisive", "pads-burnt: weak")
    twice = bare + one + one.replace("  asked:", "  again:")
    root = write_book(
        tmp_path / "book",
        checks=twice,
        conditions=CONDITIONS.replace("      alone: the float cannot be mistaken\n", ""),
    )
    assert bool(told(root, "one-look")) is speaks
