"""Words of the shipped book against the published vocabularies that they claim to use."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from headwater.book.records import Book

# Meanings of the diagnostic trouble codes by SAE J2012 (the same list as ISO 15031-6), each as the
# words that must stand in the book's answer for the code. Read in a public table of the codes.
SAE_J2012 = {
    "P0500": "vehicle speed sensor",
    "P0501": "range performance",
    "P0502": "circuit low input",
    "P0503": "intermittent erratic high",
    "P0720": "output speed sensor circuit",
    "P0721": "output speed sensor range performance",
    "P0722": "output speed sensor no signal",
    "P0723": "output speed sensor intermittent",
    "P0735": "gear 5 incorrect ratio",
}
# What else the book names, from the same list.
NAMED = {
    "P0730": "incorrect gear ratio",
    "P0734": "gear 4 incorrect ratio",
    "P0736": "reverse incorrect ratio",
    "P0800": "transfer case control system",
    "P0836": "four wheel drive switch circuit",
    "P0839": "four wheel drive switch circuit high",
    "P2771": "four wheel drive low switch circuit",  # from memory, as the next
    "P2774": "four wheel drive low switch circuit high",
}


def words(text: str) -> set[str]:
    return set(re.findall(r"[a-z0-9]+", text.lower()))


@pytest.mark.parametrize(("code", "meaning"), SAE_J2012.items())
def test_codes_mean_what_sae_j2012_says(book: Book, code: str, meaning: str) -> None:
    told = [
        answer.says
        for check in book.checks.values()
        for word, answer in check.answers.items()
        if word == code.lower()
    ]
    assert told, f"no check of the book has an answer for {code}"
    for text in told:
        assert code in text
        assert words(meaning) <= words(text), text


def test_no_code_is_told_as_another(book: Book) -> None:
    """An answer for one code never carries the words that tell another one of its group apart."""
    apart = {
        "P0720": {"range", "signal", "intermittent"},
        "P0721": {"signal", "intermittent"},
        "P0722": {"range", "intermittent"},
        "P0723": {"range", "signal"},
        "P0500": {"range", "low", "intermittent"},
        "P0501": {"low", "intermittent"},
        "P0502": {"range", "intermittent"},
        "P0503": {"range", "low"},
    }
    seen = set()
    for check in book.checks.values():
        for word, answer in check.answers.items():
            if word.upper() in apart:
                seen.add(word.upper())
                assert not words(answer.says) & apart[word.upper()], answer.says
    assert seen == set(apart)


def texts_of(book: Book) -> Iterator[tuple[str, str]]:
    """Yield every text of checks and conditions with the id it belongs to."""
    for check in book.checks.values():
        for text in (check.ask, check.say, check.how, check.good, check.bad, check.means):
            yield check.id, text
        for answer in check.answers.values():
            yield check.id, answer.says
    for condition in book.conditions.values():
        for text in (condition.title, condition.looks, *condition.said):
            yield condition.id, text


def test_the_book_names_no_code_that_was_not_checked(book: Book) -> None:
    """Every powertrain code in the book stands in the tables above."""
    named = {
        code for _, text in texts_of(book) for code in re.findall(r"\bP[0-3][0-9A-F]{3}\b", text)
    }
    assert set(SAE_J2012) <= named
    assert named <= set(SAE_J2012) | set(NAMED)


def test_codes_told_in_explanations_mean_the_same(book: Book) -> None:
    """In the explanations, the words straight after a code are its meaning by SAE J2012."""
    told = {
        "P0721": "its range or performance",
        "P0722": "no signal",
        "P0723": "intermittent",
        "P0501": "its range or performance",
        "P0502": "circuit low input",
        "P0503": "intermittent, erratic or high",
    }
    means = " ".join(" ".join(check.means.split()) for check in book.checks.values())
    for code, meaning in told.items():
        assert f"{code} {meaning}" in means


# Failure modes of rolling bearings by ISO 15243:2017, clause by clause (main wording as in the 2004
# edition, which was read; the clause numbers are the same in both).
ISO_15243_CLAUSES = {
    "5.1.2": "subsurface initiated fatigue",
    "5.1.3": "surface initiated fatigue",
    "5.2.2": "abrasive wear",
    "5.2.3": "adhesive wear",
    "5.3.2": "moisture corrosion",
    "5.3.3.2": "fretting corrosion",
    "5.3.3.3": "false brinelling",
    "5.4.2": "excessive current erosion",  # this wording of 2017, and the next three, from memory
    "5.4.3": "current leakage erosion",
    "5.5.2": "overload deformation",
    "5.5.3": "indentation",
    "5.6.2": "forced fracture",
    "5.6.3": "fatigue fracture",
    "5.6.4": "thermal cracking",
}
ISO_15243_FAMILIES = ("fatigue", "wear", "corrosion", "erosion", "plastic deformation", "fracture")
# Modes as the book may call them, and words in the same text without which the name is wrong:
# what each mode looks like by the table of appearances of ISO 15243:2004.
LOOKS_OF_MODE = {
    "indentation": r"dent|particle|debris",
    "moisture corrosion": r"water|rust|etch",
    "fretting corrosion": r"crept|creep|turned|polish|dust|moved|rust powder",
    "false brinelling": r"standing|stood|transport|pitch",
}


def test_modes_credited_to_iso_15243_are_modes_of_iso_15243(book: Book) -> None:
    """Where a text names the standard, it names one of its modes, or that it means families."""
    credited = [(i, " ".join(t.split())) for i, t in texts_of(book) if "15243" in t]
    assert len(credited) >= 2
    for owner, text in credited:
        known = ISO_15243_FAMILIES if "family" in text else ISO_15243_CLAUSES.values()
        assert any(mode in text.lower() for mode in known), f"{owner}: {text}"


def test_a_clause_stands_beside_the_mode_it_numbers(book: Book) -> None:
    cited = [
        (owner, found)
        for owner, text in texts_of(book)
        for found in re.findall(r"([a-z ]+) \((5\.[1-6](?:\.\d)+)\)", text.lower())
    ]
    assert cited
    for owner, (words_before, clause) in cited:
        assert words_before.strip().startswith(ISO_15243_CLAUSES[clause]), f"{owner}: {clause}"


def test_a_named_mode_goes_with_its_look(book: Book) -> None:
    found = 0
    for owner, text in texts_of(book):
        for mode, look in LOOKS_OF_MODE.items():
            if mode in text.lower():
                found += 1
                assert re.search(look, text.lower()), f"{owner}: {text}"
    assert found >= 4


def test_looks_of_the_bearing_tracks_point_to_the_causes_of_the_table(book: Book) -> None:
    """Track looks -> cause, by the table of appearances of ISO 15243:2004.

    Spall in the load zone: subsurface fatigue (5.1.2). Marks at ball pitch from pressing through
    the balls: overload (5.5.2). Flutes or craters: electric current (5.4).
    """
    tracks = book.checks["rear-bearing-tracks"]
    looks = {
        "rear-bearing-fatigued": r"spall",
        "rear-bearing-pressed-through-balls": r"dents?\b.*ball|ball.*dents?",
        "rear-bearing-current-marked": r"flut|crater",
    }
    for condition, look in looks.items():
        sure = {
            answer.says: sureness.present / sureness.absent
            for answer in tracks.answers.values()
            for shown, sureness in answer.shows.items()
            if shown == condition
        }
        showing = [says for says, ratio in sure.items() if ratio == max(sure.values())]
        assert showing
        for says in showing:
            assert re.search(look, says.lower()), says
