"""The checker of the book: every rule of the book, each a small function over the whole of it.

A rule yields (place, message); its name stands in the report, so that an author can look it up.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

from headwater.book.check_measured import limits_sound, readings_sound, works_known
from headwater.book.load import COMMON_PRACTICE, Book, removals_before
from headwater.book.model import Chain, Check, Condition, Limit, When
from headwater.book.problem import Found, Problem, Works, nearest
from headwater.book.refs import TABLES, ids_resolve, records_of, refs_of
from headwater.book.tables import Drive, Nature, Seat
from headwater.errors import Place
from headwater.yamltext import Table

Rule = Callable[[Book], Found]

SPECIAL_ANSWERS = ("dont-know", "cannot-check", "gone")

FIGURE = re.compile(
    r"\d\s*(mm|µm|in|inch|thou|Nm|N·m|lbf|°C|°F|rpm|Hz|bar|psi|kPa|litres?|ml|%|percent)(?![\w-])"
)
REMEDY = re.compile(
    r"\b((replac|renew|swap|exchang|re-?shim|rebuil[dt])\w*|buy(ing)?|"
    r"(fit(ted|ting)?|order(ed|ing)?) (a )?new)\b",
    re.I,
)


def check_book(book: Book, works: Works | None = None) -> list[Problem]:
    """Return every problem of a loaded book, sorted by place.

    `works` names the bench arithmetic that checks may use and the inputs of each.
    """
    problems = [
        Problem(place, severity, name, message)
        for name, severity, rule in RULES
        for place, message in rule(book)
    ]
    problems += [Problem(p, "error", "work", text) for p, text in works_known(book, works or {})]
    return sorted(set(problems))


def chains_end_in_origins(book: Book) -> Found:
    """Every chain ends in an origin, and its verdict is that end."""
    for chain in book.chains.values():
        last = chain.path()[0]
        if chain.verdict != last:
            yield (
                chain.verdict.place,
                f"the verdict is '{chain.verdict}' but the last cause is '{last}'",
            )
        origin = book.conditions.get(chain.verdict)
        if origin and not origin.origin:
            yield (
                chain.verdict.place,
                f"'{chain.verdict}' is not an origin; give the condition an 'origin:' or go on",
            )
        repeated = len(set(chain.path())) != len(chain.path())
        if repeated:
            yield chain.chain.place, "a chain must not pass the same condition twice"


def chain_file_names(book: Book) -> Found:
    """A chain's file carries the chain's id, so that it can be found."""
    for chain in book.chains.values():
        name = chain.place.file.rsplit("/", 1)[-1]
        if name != f"{chain.chain}.yaml" and chain.place.line:
            yield chain.chain.place, f"save this chain as {chain.chain}.yaml"


def decided_by(check: Check) -> set[str]:
    """Return the conditions that some answer of the check decides, either way."""
    return {
        str(condition)
        for answer in check.answers.values()
        for side in (answer.shows, answer.rules_out)
        for condition, sureness in side.items()
        if sureness.decisive
    }


def origins_complete(book: Book) -> Found:
    """Every origin has a correction, and a check that decides it or a reason why none can."""
    decided = _decided(book)
    for condition in book.origins.values():
        assert condition.origin is not None
        if not condition.origin.corrections:
            yield condition.place, f"origin '{condition.id}' has no correction"
        if condition.id not in decided and not condition.unobservable:
            yield (
                condition.place,
                f"no check decides origin '{condition.id}'; add one, or say 'unobservable:' why",
            )
        if condition.id in decided and condition.unobservable:
            yield (
                condition.place,
                f"'{condition.id}' is called unobservable, yet check "
                f"'{decided[condition.id]}' decides it",
            )


def _decided(book: Book) -> dict[str, str]:
    """Condition -> the first check that can decide it."""
    decided: dict[str, str] = {}
    for check in book.checks.values():
        for condition in decided_by(check):
            decided.setdefault(condition, check.id)
    return decided


def others_have_causes(book: Book) -> Found:
    """A condition that is not an origin has a cause."""
    effects = {effect for _, effect in book.links}
    for condition in book.conditions.values():
        if not condition.origin and condition.id not in effects:
            yield (
                condition.place,
                f"'{condition.id}' is no origin and no chain leads to it; add a chain",
            )


def observable(book: Book) -> Found:
    """A condition in the middle or at the end can be decided, or the author says why not."""
    decided = _decided(book)
    for condition in book.conditions.values():
        if condition.origin or condition.id in decided or condition.unobservable:
            continue
        yield (
            condition.place,
            f"no check decides '{condition.id}'; add one, or say 'unobservable:' why",
        )


def damage_has_disposition(book: Book) -> Found:
    """Every damaged part has a disposition; only damage has one; damage is on a part."""
    for condition in book.conditions.values():
        damage = condition.kind is Nature.DAMAGE
        if damage and not condition.part:
            yield condition.place, f"damage '{condition.id}' names no part"
        if damage and not condition.dispositions and not condition.origin:
            yield condition.place, f"damage '{condition.id}' has no disposition for its part"
        if not damage and condition.dispositions:
            yield condition.place, f"'{condition.id}' is no damage, so it has no disposition"
        for action in (*condition.dispositions, *_corrections(condition)):
            if not action.on and not condition.part:
                yield action.place, "says no part; add 'on:'"


def _corrections(condition: Condition) -> tuple[Any, ...]:
    return condition.origin.corrections if condition.origin else ()


def figures_have_sources(book: Book) -> Found:
    """Every figure has a source or the mark common-practice."""
    for check in book.checks.values():
        text = " ".join((check.ask, check.how, check.good, check.bad, check.means))
        if FIGURE.search(text) and not check.source and not check.reading:
            yield (
                check.place,
                f"check '{check.id}' gives a figure without 'source:' "
                f"(write {COMMON_PRACTICE} if the trade merely knows it)",
            )
    for place, text in _unsourced(book):
        if found := FIGURE.search(text):
            yield place, f"'{found.group()}' can name no source here; give the figure in a check"
    for chain in book.chains.values():
        for step in chain.because:
            if FIGURE.search(step.said.how) and not step.said.source:
                yield step.cause.place, "a figure in 'how' needs a 'source:'"
            often = step.said.often
            if often and often.word[0].isdigit() and not step.said.source:
                yield step.cause.place, "a number in 'often' needs a 'source:'"
    for condition in book.origins.values():
        assert condition.origin is not None
        if condition.origin.common.word[0].isdigit() and not condition.origin.source:
            yield condition.origin.place, "a number in 'common' needs a 'source:'"


def _unsourced(book: Book) -> Found:
    """Yield the texts that have no field for a source."""
    for condition in book.conditions.values():
        yield condition.place, condition.looks
        for action in (*condition.dispositions, *_corrections(condition)):
            yield from ((action.place, text) for text in (action.text, *action.fitting))
    for caution in book.cautions.values():
        yield caution.place, caution.text


def checks_sound(book: Book) -> Found:
    """A check has a seat, its minutes, at least two answers, and answers that mean something."""
    for check in book.checks.values():
        if not check.seats:
            yield check.place, f"check '{check.id}' names no seat"
        if check.minutes <= 0:
            yield check.place, f"check '{check.id}' takes no time; give its minutes"
        if len(check.answers) < 2:
            yield check.place, f"check '{check.id}' needs at least two answers"
        if not any(a.shows or a.rules_out for a in check.answers.values()):
            yield check.place, f"no answer of check '{check.id}' shows or rules out anything"
        for word, answer in check.answers.items():
            if word in SPECIAL_ANSWERS:
                yield word.place, f"'{word}' is understood everywhere; do not declare it"
            for both in set(answer.shows) & set(answer.rules_out):
                yield both.place, f"one answer both shows and rules out '{both}'"
        if Seat.CALL in check.seats and (check.tool or check.after or check.reading):
            if check.reading and not (check.tool or check.after):
                continue
            yield check.place, f"a caller cannot do '{check.id}': it needs a tool or disassembly"


def disassembly_sound(book: Book) -> Found:
    """A removal takes time, and what a check needs off is not what must still be on."""
    for removal in book.removals.values():
        if removal.minutes <= 0:
            yield removal.place, f"removal '{removal.id}' takes no time; give its minutes"
    for check in book.checks.values():
        needed = removals_before(book, check.after)
        for late in check.before:
            if late in needed:
                yield late.place, f"check '{check.id}' needs '{late}' both off and still on"


def dangers_sound(book: Book) -> Found:
    """Danger says stop, or limp and how far; a vehicle that may be driven is in none."""
    for condition in book.conditions.values():
        danger = condition.danger
        if danger and danger.advice is Drive.OK:
            yield danger.place, "a danger advises stop or limp; delete it where driving is safe"
        elif danger and danger.advice is Drive.LIMP and not danger.limits:
            yield danger.place, "limp needs 'limits:': how slow, how far, in which range"


def renames_sound(book: Book) -> Found:
    """An old id means one record only, and is not in use again."""
    owner: dict[str, str] = {}
    for kind in ("conditions", "checks", "chains"):
        for record in book.table(kind).values():
            for old in record.replaces:
                if old in book.table(kind):
                    yield record.place, f"'{record.id}' replaces '{old}', which is still in use"
                if owner.setdefault(old, record.id) != record.id:
                    yield record.place, f"'{old}' is replaced by '{owner[old]}' already"


def remedies_only_in_actions(book: Book) -> Found:
    """Only corrections and dispositions say what to do with a part: the gate can hold those."""
    for condition in book.conditions.values():
        for text in (condition.title, condition.plain, condition.looks, *condition.synonyms):
            yield from _no_remedy(condition.place, text)
        if condition.danger:
            yield from _no_remedy(condition.place, condition.danger.because)
            yield from _no_remedy(condition.place, condition.danger.limits)
    for check in book.checks.values():
        texts = (check.ask, check.say, check.how, check.good, check.bad, check.means, check.tool)
        answers = tuple(answer.says for answer in check.answers.values())
        for text in (*texts, *answers):
            if not _asks_history(check, text):
                yield from _no_remedy(check.place, text)
    for link in book.links.values():
        yield from _no_remedy(link.place, link.how)
    for chain in book.chains.values():
        yield from _no_remedy(chain.chain.place, chain.title)
    for kind in ("parts", "removals", "limits"):
        for record in book.table(kind).values():
            yield from _no_remedy(record.place, record.title)


def _asks_history(check: Check, text: str) -> bool:
    """A question about work done before may name it: it recommends nothing."""
    return Seat.CALL in check.seats and bool(re.search(r"replaced|renewed|rebuilt|swapped", text))


def _no_remedy(place: Place, text: str) -> Found:
    if found := REMEDY.search(text):
        yield place, f"'{found.group()}' belongs in a correction or disposition, not in this text"


def attributes_known(book: Book) -> Found:
    """Every `when` names declared attributes and values."""

    def whens(record: Any) -> Iterator[tuple[Place, When]]:
        if getattr(record, "when", None):
            yield record.place, record.when
        if isinstance(record, Chain):
            for step in record.because:
                yield step.cause.place, step.said.when
        for special in record.families if isinstance(record, Limit) else ():
            yield special.place, special.when

    for record in (*records_of(book), *book.packs):
        for place, when in whens(record):
            for name, values in when.items():
                yield from _attribute(book, place, name, values)
        if hasattr(record, "family"):
            for name, value in record.family.items():
                yield from _attribute(book, record.place, name, (value,))


def modes_sound(book: Book) -> Found:
    """A mode has neighbours in its own list; a check names a list and reasons behind its modes."""
    pointed: dict[str, set[str]] = {}
    for mode in book.modes.values():
        pointed.setdefault(str(mode.of), set()).update(map(str, mode.points_to))
        if not mode.points_to:
            yield mode.place, f"mode '{mode.id}' points to no reason"
        for other in mode.neighbours:
            if other == mode.id or (other in book.modes and book.modes[other].of != mode.of):
                yield other.place, f"'{other}' is not another mode of list '{mode.of}'"
        for text in (mode.title, mode.looks, *mode.neighbours.values()):
            yield from _no_remedy(mode.place, text)
    for reason in book.reasons.values():
        if not any(reason.id in reasons for reasons in pointed.values()):
            yield reason.place, f"no mode points to reason '{reason.id}'"
    for check in book.checks.values():
        if check.modes and check.modes not in pointed:
            mend = nearest(check.modes, pointed)
            yield check.modes.place, f"there is no list of modes '{check.modes}'{mend}"
        elif not check.modes and (check.reasons or check.any_mode or check.offers):
            text = "'reasons', 'any-mode' and 'offers' need 'modes', the list they are about"
            yield check.place, text
        for ref in check.offers:
            if check.modes in pointed and ref in book.modes and book.modes[ref].of != check.modes:
                yield ref.place, f"'{ref}' is not a mode of list '{check.modes}'"
        known = pointed.get(check.modes or "", set())
        offered = [book.modes[ref] for ref in check.offers if ref in book.modes]
        if offered and check.modes in pointed:
            known = {str(reason) for mode in offered for reason in mode.points_to}
        for ref in check.reasons:
            if check.modes in pointed and ref in book.reasons and ref not in known:
                few = "offered" if offered else f"of list '{check.modes}'"
                yield ref.place, f"no mode {few} points to '{ref}'"


def assumptions_sound(book: Book) -> Found:
    """What is assumed of a unit is a value of the attribute."""
    for name, value in book.assumed.items():
        yield from _attribute(book, book.attributes[name].place, name, (value,))


def _attribute(book: Book, place: Place, name: str, values: tuple[str, ...]) -> Found:
    if name not in book.attributes:
        yield place, f"there is no attribute '{name}'{nearest(name, book.attributes)}"
        return
    known = book.attributes[name].values
    for value in values:
        if value not in known:
            yield place, f"'{name}' cannot be '{value}'{nearest(value, known)}"


def nothing_unreachable(book: Book) -> Found:
    """Every condition, part, limit, removal, gauge, source and caution is used by something."""
    used: dict[str, set[str]] = {kind: set() for kind in TABLES}
    for record in records_of(book):
        for kind, ref in refs_of(record):
            used[kind].add(str(ref))
    varied = {name for record in (*records_of(book), *book.packs) for name in _varies_by(record)}
    for name, attribute in book.attributes.items():
        if name not in varied:
            yield attribute.place, f"nothing depends on attribute '{name}'"
    linked = {end for ends in book.links for end in ends}
    linked |= {str(chain.found) for chain in book.chains.values()}
    for condition in book.conditions.values():
        if condition.id not in linked:
            yield condition.place, f"no chain passes condition '{condition.id}'"
    for kind in ("part", "limit", "removal", "caution", "gauge"):
        for record in book.table(TABLES[kind]).values():
            if record.id not in used[kind]:
                yield record.place, f"nothing uses {kind} '{record.id}'"
    for source in book.sources.values():
        if source.id not in used["source"] and source.id != COMMON_PRACTICE:
            yield source.place, f"nothing uses source '{source.id}'"


def _varies_by(record: Any) -> set[str]:
    """Return the attributes that a record, or something in it, depends on."""
    parts: list[Any] = [record]
    parts += [step.said for step in record.because] if isinstance(record, Chain) else []
    parts += record.families if isinstance(record, Limit) else []
    return {name for part in parts for name in getattr(part, "when", {})}


def chains_have_samples(book: Book) -> Found:
    """Every chain has a case that fires and a near miss beside it."""
    for chain in book.chains.values():
        samples = book.samples.get(chain.chain, ())
        if len(samples) < 2:
            yield (
                chain.chain.place,
                f"chain '{chain.chain}' needs two cases in {chain.chain}.cases.yaml: "
                "one that fires and one near miss",
            )
            continue
        fires = [chain.verdict in sample.expect.origins for sample in samples]
        if not any(fires):
            yield chain.chain.place, f"no case of chain '{chain.chain}' comes to its verdict"
        if all(fires):
            yield chain.chain.place, f"every case of chain '{chain.chain}' fires; add a near miss"
    beside = book.chains.keys() | book.retired.keys() | book.files
    for name, samples in book.samples.items():
        if name not in beside:
            mend = nearest(name, beside)
            yield samples[0].place, f"no chain or declarations stand beside '{name}'{mend}"


def sample_answers(book: Book) -> Found:
    """The answers given in a sample case are answers of the check."""
    for samples in book.samples.values():
        for sample in samples:
            for ref, value in sample.given.items():
                check = book.checks.get(str(ref))
                if not check or check.reading:
                    continue
                words = [*check.answers, *SPECIAL_ANSWERS]
                old = {word for answer in check.answers.values() for word in answer.also}
                said = value.data if isinstance(value.data, str) else f"{value.data}".lower()
                if isinstance(value.data, (tuple, Table)):
                    yield value.place, f"one word is the answer to '{ref}': {', '.join(words)}"
                elif {"true": "yes", "false": "no"}.get(said, said) not in {*words, *old}:
                    yield value.place, f"'{said}' is no answer to '{ref}'{nearest(said, words)}"


def loops_have_a_way_in(book: Book) -> Found:
    """A loop never starts itself: some origin must enter it."""
    reached = set(book.origins)
    frontier = list(reached)
    effects: dict[str, list[str]] = {}
    for cause, effect in book.links:
        effects.setdefault(cause, []).append(effect)
    while frontier:
        for effect in effects.get(frontier.pop(), ()):
            if effect not in reached:
                reached.add(effect)
                frontier.append(effect)
    for condition in book.conditions.values():
        if condition.id not in reached and any(condition.id in ends for ends in book.links):
            yield condition.place, f"no origin reaches '{condition.id}': its loop has no way in"


def no_repeats(book: Book) -> Found:
    """A chain is a chain: it does not repeat another one."""
    seen: dict[tuple[str, ...], str] = {}
    for chain in book.chains.values():
        path = tuple(chain.path())
        if path in seen:
            yield chain.chain.place, f"chain '{chain.chain}' repeats chain '{seen[path]}'"
        seen.setdefault(path, str(chain.chain))


def overrides_said(book: Book) -> Found:
    """Say what a later pack put in place of an earlier one's record."""
    for item in book.overrides:
        kind = item.kind.rstrip("s")
        yield item.place, f"{kind} '{item.id}' of pack '{item.pack}' overrides {item.instead_of}"


RULES: tuple[tuple[str, str, Rule], ...] = (
    ("ids", "error", ids_resolve),
    ("verdict", "error", chains_end_in_origins),
    ("file-name", "error", chain_file_names),
    ("origin", "error", origins_complete),
    ("cause", "error", others_have_causes),
    ("observable", "error", observable),
    ("disposition", "error", damage_has_disposition),
    ("source", "error", figures_have_sources),
    ("check", "error", checks_sound),
    ("removal", "error", disassembly_sound),
    ("reading", "error", readings_sound),
    ("limit", "error", limits_sound),
    ("danger", "error", dangers_sound),
    ("rename", "error", renames_sound),
    ("remedy", "error", remedies_only_in_actions),
    ("attribute", "error", attributes_known),
    ("assume", "error", assumptions_sound),
    ("mode", "error", modes_sound),
    ("unused", "error", nothing_unreachable),
    ("cases", "error", chains_have_samples),
    ("answer", "error", sample_answers),
    ("loop", "error", loops_have_a_way_in),
    ("repeat", "warning", no_repeats),
    ("override", "note", overrides_said),
)
