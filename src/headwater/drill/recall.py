"""What an apprentice is likely to have forgotten: spaced repetition over links and mistakes.

A card is a link of the book ('cause -> effect') or a kind of mistake. The scheduler is FSRS, from
the extra `lessons`, with its own figures, without chance (fuzz off) and in UTC; its state is worked
out anew from the reviews, which are kept as lines 'date time rating'. The rating of a link is
*good* where its origin was named and proven and its step given, *hard* where the origin was a
guess, else *again*; of a kind of mistake *again* where it was made, and *good* where it was not any
more. Without the extra nothing is due, and exercises keep to what was missed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from importlib.util import find_spec
from itertools import pairwise

from headwater.book.records import Book
from headwater.drill.exercise import Exercise
from headwater.drill.mistakes import Mistake
from headwater.drill.score import Score, Statement

AGAIN, HARD, GOOD = "again", "hard", "good"
RATINGS = (AGAIN, HARD, GOOD)
FORM = "%Y-%m-%d %H:%M"
KEPT = 12
"""Reviews of a card that are kept, the latest ones."""
WEAK_BELOW = 0.9
"""Chance to recall a link, below which it is practised again."""
WEAKEST = 5
"""Chains that the next exercise may be drawn from, at most."""
ANYTHING_EVERY = 3
"""Every so many exercises one is drawn from the whole book, for variety."""

Reviews = Mapping[str, Sequence[str]]


def ratings_of(
    exercise: Exercise,
    said: Statement,
    score: Score,
    mistakes: Iterable[Mistake],
    reviews: Reviews,
) -> dict[str, str]:
    """Return how well each link of the true chains was known, and which mistakes were made.

    One that was made before and was not made now is better known.
    """
    rated = {str(kind): GOOD for kind in Mistake if str(kind) in reviews}
    for way in exercise.unit.ways:
        for cause, effect in pairwise(way):
            rating = GOOD if way[0] not in score.guessed else HARD
            given = {way[0], *said.steps, way[-1]} >= {cause, effect}
            known = way[0] in score.right and (given or not score.steps_left)
            rated[card(cause, effect)] = rating if known else AGAIN
    return rated | {str(mistake): AGAIN for mistake in mistakes}


def card(cause: str, effect: str) -> str:
    """Return the card of a link."""
    return f"{cause} -> {effect}"


def reviewed(reviews: Reviews, rated: Mapping[str, str], now: datetime) -> dict[str, list[str]]:
    """Return the reviews after some more."""
    found = {name: [*lines] for name, lines in reviews.items()}
    for name, rating in rated.items():
        line = f"{now.astimezone(UTC).strftime(FORM)} {rating}"
        found[name] = [*found.get(name, ()), line][-KEPT:]
    return found


def is_review(line: str) -> bool:
    """Say whether a line of the progress file is a review."""
    when, _, rating = line.rpartition(" ")
    try:
        datetime.strptime(when, FORM).replace(tzinfo=UTC)
    except ValueError:
        return False
    return rating in RATINGS


def recall(reviews: Reviews, now: datetime) -> dict[str, float]:
    """Return the chance that each card is recalled now; nothing without the extra."""
    if find_spec("fsrs") is None:
        return {}
    from fsrs import Card, Rating, Scheduler

    scheduler = Scheduler(enable_fuzzing=False)
    words = {AGAIN: Rating.Again, HARD: Rating.Hard, GOOD: Rating.Good}
    found = {}
    for name, lines in reviews.items():
        learnt = None
        for when, rating in map(_read, lines):
            learnt, _ = scheduler.review_card(
                learnt or Card(card_id=1, due=when), words[rating], review_datetime=when
            )
        if learnt:
            found[name] = float(scheduler.get_card_retrievability(learnt, now.astimezone(UTC)))
    return found


def _read(line: str) -> tuple[datetime, str]:
    when, _, rating = line.rpartition(" ")
    return datetime.strptime(when, FORM).replace(tzinfo=UTC), rating


def weak_chains(book: Book, reviews: Reviews, now: datetime, last: str = "") -> list[str]:
    """Return the chains with a link that is likely forgotten, weakest first, without the last."""
    chance = recall(reviews, now)
    failed = {name for name, lines in reviews.items() if lines and lines[-1].endswith(AGAIN)}
    # What was not known at all is weak however short a time ago that was.
    weak = {name: 0.0 if name in failed else p for name, p in chance.items()}
    weak = {name: p for name, p in weak.items() if p < WEAK_BELOW}
    found = [
        (min(weak[link] for link in links), cid)
        for cid, chain in book.chains.items()
        if cid != last and (links := set(_links(chain.path())) & weak.keys())
    ]
    return [cid for _, cid in sorted(found)[:WEAKEST]]


def _links(path: Sequence[str]) -> Iterator[str]:
    return (card(*ends) for ends in pairwise(path))
