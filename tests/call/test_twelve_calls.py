"""Twelve kinds of call, and what should come of each.

What is expected was written down before the calls were played, as somebody careful who leads the
people at the telephone would want it: the advice, what the sheet keeps, what is read out. A plain
run plays some of them. Where a
caller's words may be placed better one day, the strictest and the mildest advice is named.
"""

from __future__ import annotations

import re
from collections import UserDict
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

import pytest
from draws import some

from headwater.book.records import Book
from headwater.cli.main import Terminal, run
from headwater.shipped import open_packs, shipped_packs

from .callers import CALLS, RULE, Phone, Rings

STRICTNESS = {"ok": 0, "..": 1, "==": 2, "!!": 3}
NEVER_SAID = ("our fault", "we are sorry", "free of charge", "not our fault", "warranty covers")


@dataclass(frozen=True, slots=True)
class Played:
    """A call that was played: all that stood on the screen, and its sheet."""

    screen: str
    sheet: str

    @property
    def advice(self) -> str:
        """The mark of the last advice."""
        return self.part("Drive advice given")[:2]

    @property
    def marks(self) -> list[str]:
        """The marks of the advice above each question."""
        return re.findall(r"^Drive    (\S\S) ", self.screen, re.M)

    @property
    def asked(self) -> int:
        """How many questions were put."""
        return len(set(re.findall(r"^(\d) of 8 ", self.screen, re.M)))

    def part(self, heading: str) -> str:
        """Return a section of the sheet on one line; nothing where it is missing."""
        found = re.search(rf"^{heading}\n(.*?)\n\n", self.sheet + "\n\n", re.M | re.S)
        return " ".join(found[1].split()) if found else ""


@pytest.fixture(scope="session")
def whole_book() -> Book:
    """The shipped book with all its packs, as a call has it."""
    return open_packs(shipped_packs()).book


class PlayedCalls(UserDict[str, Played]):
    """Each call, played when it is asked for, and once."""

    def __init__(self, folder: Path, book: Book) -> None:
        super().__init__()
        self.folder, self.book = folder, book

    def __missing__(self, name: str) -> Played:
        with pytest.MonkeyPatch.context() as patch:
            patch.chdir(self.folder)
            self[name] = play(CALLS[name], self.book, f"{name}.yaml")
        return self[name]


@pytest.fixture(scope="session")
def played(tmp_path_factory: pytest.TempPathFactory, whole_book: Book) -> PlayedCalls:
    """Every call, played once."""
    return PlayedCalls(tmp_path_factory.mktemp("twelve"), whole_book)


def play(rings: Rings, book: Book, case: str) -> Played:
    """Play a call."""
    out, err = StringIO(), StringIO()
    run(["call", case.replace(" ", "-")], Terminal(out, err, Phone(rings, book, out), width=80))
    assert not err.getvalue()
    screen, _, sheet = out.getvalue().partition("Call sheet: ")
    return Played(screen, sheet)


EXPECTED = {
    "plastic crumbs": ("..", "..", "Crumbs can block the oil screen"),
    "sensor only": ("ok", "..", ""),
    "code and noise": ("..", "==", ""),
    "rolls in park with a bang": ("!!", "!!", "chock the wheels"),
    "hop after new tyres": ("..", "==", ""),
    "smoke after a ford": ("!!", "!!", "get everybody out"),
    "knows nothing": ("==", "==", ""),
    "engine overheats": ("!!", "!!", "let it cool"),
    "angry comeback": ("!!", "!!", "Engine braking is lost"),
    "blinking lamp": ("ok", "==", ""),
    "out of low with a trailer": ("!!", "!!", "Engine braking is lost"),
    "odd forms": ("..", "==", ""),
}


@pytest.mark.parametrize("name", some([*CALLS]))
def test_the_advice_is_what_a_careful_person_would_give(name: str, played: PlayedCalls) -> None:
    mildest, strictest, because = EXPECTED[name]
    call = played[name]
    assert STRICTNESS[mildest] <= STRICTNESS[call.advice] <= STRICTNESS[strictest]
    assert because in call.part("Drive advice given")


@pytest.mark.parametrize("name", some([*CALLS]))
def test_at_most_eight_questions_each_under_the_advice(name: str, played: PlayedCalls) -> None:
    """Every question stands below the advice; the sheet opens and ends with it."""
    call = played[name]
    questions = [part for part in call.screen.split(RULE)[1:] if " of 8   " in part]
    assert call.asked <= 8
    assert all(part.lstrip("\n").startswith("Drive    ") for part in questions)
    last = call.sheet.rsplit("Drive advice given: ", 1)[1]
    assert " ".join(last.split()).startswith(call.part("Drive advice given")[:60])


@pytest.mark.parametrize("name", ["rolls in park with a bang", "smoke after a ford"])
def test_a_sign_of_danger_comes_before_any_question(name: str, played: PlayedCalls) -> None:
    """What to do now stands right under the words; nobody is kept on the phone or sent to look."""
    call = played[name]
    assert call.asked == 0
    assert "worked on, before" not in call.screen
    assert "look from beside" not in call.sheet
    assert "First comes what to do now." in call.part("End of the call")
    now = call.part("Drive advice given")
    assert "under" in now, "it says to keep away from underneath"


def test_the_engine_is_another_trade(played: PlayedCalls) -> None:
    """Said kindly, with who should look, and never 'nothing abnormal'."""
    call = played["engine overheats"]
    assert call.asked == 0
    assert "An engine workshop should look at it." in call.part("Drive advice given")
    assert "Nothing abnormal" not in call.sheet
    assert "no trouble of the driveline" in call.sheet
    assert "The shop checks first" not in call.sheet


@pytest.mark.trial
def test_the_part_that_was_wanted_is_kept_with_its_sentence(played: PlayedCalls) -> None:
    """The sentence needs no bench, and names the part that was meant."""
    sensor, pads = (played[n].part("The caller wants") for n in ("sensor only", "plastic crumbs"))
    assert sensor.startswith("a speed sensor: Please do not buy anything for the output speed")
    assert "reads the teeth of a ring" in sensor
    assert pads.startswith("the pads: Please do not buy anything for the range fork")
    assert "something presses on them" in pads


@pytest.mark.trial
def test_an_angry_comeback_has_a_line_to_read_out(played: PlayedCalls) -> None:
    """It thanks, says what happens next, and neither admits nor denies anything."""
    call = played["angry comeback"]
    line = call.part("To read out, as it was worked on before")
    assert line.startswith("Thank you for ringing at once.")
    assert "you hear what was found before you decide" in line
    assert line[:40] in " ".join(call.screen.split()), "it is on the screen, too"
    assert not any(words in line.lower() for words in NEVER_SAID)
    others = [n for n in CALLS if n != "angry comeback" and "To read out" in played[n].sheet]
    assert others == []


def test_who_knows_nothing_leaves_it_parked(played: PlayedCalls) -> None:
    call = played["knows nothing"]
    assert set(call.marks) == {"=="}
    assert "something is wrong with it" in call.sheet


def test_a_caution_of_the_start_is_eased_only_after_answers(played: PlayedCalls) -> None:
    """The sensor's call does not begin with OK: that needs answers on what may seize."""
    marks = played["sensor only"].marks
    assert marks[0] != "ok"
    assert STRICTNESS[marks[-1]] <= STRICTNESS[marks[0]]
