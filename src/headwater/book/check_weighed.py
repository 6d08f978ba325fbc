"""The rules of the book about how much an answer or a link claims, and what stands twice."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from itertools import permutations

from headwater.book.chances import Sureness
from headwater.book.check_graph import word_of
from headwater.book.check_remedies import actions_of
from headwater.book.files import Sample
from headwater.book.model import Action, Condition
from headwater.book.problem import Faults
from headwater.book.records import Book, effects_by_cause, spread
from headwater.book.tables import OFTEN
from headwater.book.things import When

STRONG_FROM = 4.0
"""How many times likelier a condition must make an answer, for that to count as a look at it."""

SMALL = re.compile(r"\b(a|an|the|of|in|on|at|by|to|its|it|is|are|was|with|and|or|for|from|that)\b")
HEAT = re.compile(
    r"\b(weld|welded|welding|open flame|torch|braze|brazed|grind wet|ground wet)\b", re.I
)
FORBIDDEN = re.compile(
    r"\b(no|not|never|nobody|without|cannot|forbid|forbidden|instead of)\b", re.I
)
HOUSING = re.compile(r"\b(housing|half|halves|case|cover|adapter)\b", re.I)
BURNS = "magnesium"


def one_cause_decided(book: Book) -> Faults:
    """No answer decides an origin that a rival, which leads to the same, gives as well."""
    effects, origins = effects_by_cause(book.links), book.origins
    for check in book.checks.values():
        for word, answer in check.answers.items():
            shown = {str(c): sure for c, sure in answer.shows.items() if c in origins}
            for one, other in permutations(shown, 2):
                if not shown[one].decisive or not _strong(shown[other]):
                    continue
                both = sorted(set(effects(one)) & set(effects(other)))
                if both and not _one_line(one, other, effects):
                    yield (
                        word.place,
                        f"'{word}' settles '{one}', yet '{other}', which leads to '{both[0]}' as "
                        "well, gives it too: call it 'strong', and let another look decide",
                    )


def _strong(sure: Sureness) -> bool:
    return sure.present >= STRONG_FROM * sure.absent


def _one_line(one: str, other: str, effects: Callable[[str], Iterable[str]]) -> bool:
    """Say whether one of two conditions can bring about the other: then they are no rivals."""
    return other in spread([one], effects) or one in spread([other], effects)


def always_means_always(book: Book) -> Faults:
    """'always' is not said of a link that a case of the book shows broken, or a twin calls less."""
    certain = {ends: link for ends, link in book.links.items() if link.often.p >= OFTEN["always"]}
    broken = _broken(book, set(certain))
    for ends, link in certain.items():
        cause, effect = ends
        if ends in broken:
            yield (
                link.place,
                f"'{cause}' is said to bring '{effect}' always, yet case '{broken[ends]}' has the "
                "one without the other: write 'usually', or mend the case",
            )
        for other, often in _neighbours(book, cause, effect):
            yield (
                link.place,
                f"'{cause}' is said to bring '{effect}' always, its neighbour '{other}' only "
                f"{often}: write 'usually', unless nothing can come between",
            )


def _neighbours(book: Book, cause: str, effect: str) -> Iterator[tuple[str, str]]:
    """Yield origins on the same part that bring an effect sometimes at most, with how often."""
    origins = book.origins
    part = origins[cause].part if cause in origins else None
    for (other, found), link in book.links.items():
        beside = found == effect and other != cause and other in origins
        if part and beside and origins[other].part == part and link.often.p <= OFTEN["sometimes"]:
            yield other, link.often.word


def _broken(book: Book, ends: set[tuple[str, str]]) -> dict[tuple[str, str], str]:
    """Return the links of which some case has the cause and not the effect, with its name."""
    found: dict[tuple[str, str], str] = {}
    for samples in book.samples.values():
        for sample in samples:
            shown, out = _settled(book, sample)
            for cause, effect in ends:
                if cause in shown and effect in out:
                    found.setdefault((cause, effect), sample.name)
    return found


def _settled(book: Book, sample: Sample) -> tuple[set[str], set[str]]:
    """Return what a case is expected to prove or confirm, and what a look of it rules out."""
    statuses = sample.expect.statuses.items()
    shown = {str(c) for c, how in sample.expect.origins.items() if how == "proven"}
    shown |= {str(c) for c, status in statuses if status == "confirmed"}
    out = {str(c) for c, status in statuses if status == "ruled-out"}
    for ref, value in sample.given.items():
        check = book.checks.get(str(ref))
        answer = check.answer(word_of(value)) if check else None
        for condition, sure in answer.rules_out.items() if answer else ():
            if sure.decisive:
                out.add(str(condition))
    return shown, out


def one_meaning_once(book: Book) -> Faults:
    """Two conditions do not mean one thing: the same part, kind and title."""
    seen: dict[tuple[object, ...], list[Condition]] = {}
    for condition in book.conditions.values():
        key = (condition.kind, condition.part and str(condition.part), _words(condition.title))
        for other in seen.setdefault(key, []):
            if not _apart(condition.when, other.when):
                yield (
                    condition.place,
                    f"'{condition.id}' means the same as '{other.id}': keep one, and name the "
                    "other in its 'replaces:', or say in the titles what parts them",
                )
        seen[key].append(condition)


def said_once(book: Book) -> Faults:
    """No words stand in the 'said' of two conditions of one pack that one unit can both have.

    Both would be offered, and what was told would tell of neither. Order and small words aside.
    """
    seen: dict[tuple[str, frozenset[str]], list[Condition]] = {}
    for condition in book.conditions.values():
        owner = book.owner["conditions", condition.id]
        for phrase in condition.said:
            here = seen.setdefault((owner, _words(phrase)), [])
            for other in here:
                if other is not condition and not _apart(condition.when, other.when):
                    yield (
                        condition.place,
                        f"'{phrase}' is said of '{condition.id}' and of '{other.id}': keep it "
                        "where it tells most",
                    )
            here.append(condition)


def _words(phrase: str) -> frozenset[str]:
    return frozenset(re.findall(r"\w+", SMALL.sub(" ", phrase.lower())))


def _apart(one: When, other: When) -> bool:
    """Say whether no unit can have both."""
    return any(name in other and not set(one[name]) & set(other[name]) for name in one)


def lone_origins(book: Book) -> list[str]:
    """Return the faults that fewer than two acts show at least strongly, and that claim no more.

    What hangs on one act is never proven, unless the author says why one is enough.
    """
    shown: dict[str, set[str]] = {
        cid: set()
        for cid, record in book.origins.items()
        if record.origin and not record.origin.usage and not record.origin.alone
    }
    for check in book.checks.values():
        for answer in check.answers.values():
            for condition, sure in answer.shows.items():
                if condition in shown and _strong(sure):
                    shown[condition].add(check.act_at())
    return [cid for cid, acts in shown.items() if len(acts) < 2]


def origins_seen_twice(book: Book) -> Faults:
    """A fault has a second look, or the author says why one is enough."""
    for cid in lone_origins(book):
        yield (
            book.conditions[cid].place,
            f"only one act shows origin '{cid}', so it can never be proven: add a second look, or "
            "say 'alone:' why one is enough",
        )


def material_bears_it(book: Book) -> Faults:
    """Nothing that may be of magnesium is welded, ground wet or held into a flame."""
    for condition in book.conditions.values():
        for action in actions_of(condition):
            part = book.parts.get(str(action.on or condition.part))
            if part is None or not HOUSING.search(part.title):
                continue
            for found in _heated(action) if _may_burn(book, condition, action.when) else ():
                yield (
                    action.place,
                    f"'{found}' sets magnesium on fire, of which '{part.id}' may be: forbid it "
                    "there, or say by 'when:' which housings bear it",
                )


def _may_burn(book: Book, condition: Condition, when: When) -> bool:
    """Say whether the housings of a condition can be of magnesium where the action applies."""
    owner = book.owner.get(("conditions", condition.id))
    asked = [pack.attributes for pack in book.packs if str(pack.pack) == owner]
    metals = [name for own in asked for name, item in own.items() if BURNS in item.values]
    both = (condition.when, when)
    return any(all(BURNS in one.get(name, (BURNS,)) for one in both) for name in metals)


def _heated(action: Action) -> Iterator[str]:
    for sentence in re.split(r"[.;:]", " . ".join((action.text, *action.fitting))):
        if (found := HEAT.search(sentence)) and not FORBIDDEN.search(sentence):
            yield found.group()
