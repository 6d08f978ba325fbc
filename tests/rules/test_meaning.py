"""The compiled rules mean what design section 3 says: statuses worked out from the graph alone."""

from __future__ import annotations

from draws import draws
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import books, make_book, often

from headwater.book.records import Book
from headwater.book.tables import OFTEN
from headwater.rules.compile import Fact, Mark, compile_rules
from headwater.rules.derivation import Derivation, RuleSet
from headwater.rules.status import Status, status_of, statuses_of


def statuses_from_graph(book: Book, shown: set[str], denied: set[str]) -> dict[str, Status]:
    """Return the statuses by sets and walks over the links; no rule is looked at."""
    links = {ends: link.often for ends, link in book.links.items()}
    always = [ends for ends, how in links.items() if how.word == "always"]

    absent = denied - shown
    while more := {c for c, e in always if e in absent} - absent - shown:
        absent |= more
    disputed = (shown & denied) | {c for c, e in always if c in shown and e in absent}
    confirmed = shown - disputed

    probable: set[str] = set()
    while (
        more := {
            left[0]
            for effect in confirmed | probable
            if not book.conditions[effect].origin
            and len(left := [c for c, e in links if e == effect and c not in absent]) == 1
        }
        - probable
    ):
        probable |= more

    suspected: set[str] = set()
    while (
        more := {c for c, e in links if e in confirmed | suspected and c not in absent} - suspected
    ):
        suspected |= more

    expected: set[str] = set()
    while (
        more := {
            e
            for (c, e), how in links.items()
            if e not in absent
            and (
                (c in confirmed | probable and how.p >= OFTEN["sometimes"])
                or (c in expected and how.p >= OFTEN["usually"])
            )
        }
        - expected
    ):
        expected |= more

    def status(cid: str) -> Status:
        for members, name in (
            (disputed, Status.DISPUTED),
            (confirmed, Status.CONFIRMED),
            (absent, Status.RULED_OUT),
            (probable, Status.PROBABLE),
            (suspected, Status.SUSPECTED),
            (expected, Status.EXPECTED),
        ):
            if cid in members:
                return name
        return Status.UNKNOWN

    return {cid: status(cid) for cid in book.conditions}


@st.composite
def books_and_answers(draw: st.DrawFn) -> tuple[Book, set[str], set[str]]:
    """Draw a book, what decisive answers show and what they deny; the two may overlap."""
    book = draw(books(9))
    some = st.sets(st.sampled_from(list(book.conditions)))
    return book, draw(some), draw(some)


def derived(book: Book, shown: set[str], denied: set[str]) -> Derivation:
    facts = {Fact(c, Mark.SHOWN) for c in shown} | {Fact(c, Mark.DENIED) for c in denied}
    return RuleSet(compile_rules(book)).derive(facts)


@settings(max_examples=draws(200), deadline=None)
@given(books_and_answers())
def test_rules_give_the_statuses_of_the_graph(case: tuple[Book, set[str], set[str]]) -> None:
    book, shown, denied = case
    derivation = derived(book, shown, denied)
    ours = {cid: status_of(derivation, cid) for cid in book.conditions}
    assert ours == statuses_from_graph(book, shown, denied)
    assert ours == statuses_of(derivation, book.conditions)
    # No chain of reasoning confirms (elimination, loops, upstream): a decisive answer does.
    assert set(derivation.marked(Mark.CONFIRMED)) <= shown
    assert set(derivation.marked(Mark.DISPUTED)) <= shown
    assert not set(derivation.marked(Mark.RULED_OUT)) & shown


def test_a_number_is_never_always() -> None:
    """`often: 0.98` is as likely as `always`, but only the word lets a missing effect rule out."""
    from dataclasses import replace

    from strategies import condition

    book = make_book([condition("o", origin=True), condition("e")], {("o", "e"): "always"}, [])
    link = book.links["o", "e"]
    assert status_of(derived(book, set(), {"e"}), "o") is Status.RULED_OUT
    book.links["o", "e"] = replace(link, often=type(link.often)(often("always").p, "0.98"))
    assert status_of(derived(book, set(), {"e"}), "o") is Status.UNKNOWN
