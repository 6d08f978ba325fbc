"""Words of small talk hold no advice back, so no trouble may be told in them alone."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from headwater import api
from headwater.book.tables import Nature
from headwater.hearing import english
from headwater.hearing.chat import harmless, may_tell
from headwater.session.openbook import OpenBook


@pytest.fixture(scope="module")
def book() -> OpenBook:
    return api.open_book()


def troubles(book: OpenBook) -> Iterator[str]:
    """Yield the words in which the book expects signs of danger, complaints and damage."""
    for sign in book.book.emergencies.values():
        yield from sign.said
    for condition in book.book.conditions.values():
        if condition.kind in (Nature.COMPLAINT, Nature.DAMAGE):
            yield from condition.said


def test_no_trouble_is_told_in_small_talk_alone(book: OpenBook) -> None:
    told = list(troubles(book))
    assert len(told) > 1000
    telling = [words for words in told if may_tell(words, harmless([words], frozenset()))]
    assert not [words for words in telling if not book.which_may_tell([words], [words])]


def test_no_word_of_small_talk_is_a_part(book: OpenBook) -> None:
    """But for 'drives', 'pick up', 'crew cab' and 'whoever', who or what each time is said with."""
    named = {
        word
        for part in book.book.parts.values()
        for phrase in (part.title, *part.said)
        for word in re.findall("[a-z]+", phrase.lower())
    }
    talk = {word for one in book.book.talk.values() for word in one.said}
    both = named & talk - {"drives", "pick", "crew", "whoever"}
    assert both <= english.GENERAL | english.IDLE | english.NAMES_NO_STATE
