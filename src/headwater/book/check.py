"""The checker of the book: every rule of the book, each a small function over the whole of it.

A rule yields (place, message); its name stands in the report, so that an author can look it up.
"""

from __future__ import annotations

from collections.abc import Callable

from headwater.book.check_asked import (
    drives_marked,
    drives_timed,
    looks_worded,
    nothing_presupposed,
    one_question,
    told_alone_holds,
)
from headwater.book.check_graph import (
    chain_file_names,
    chains_end_in_origins,
    chains_have_samples,
    loops_have_a_way_in,
    no_repeats,
    nothing_unreachable,
    others_have_causes,
    sample_answers,
)
from headwater.book.check_measured import limits_sound, readings_sound, works_known
from headwater.book.check_proof import (
    answers_come_to_something,
    answers_part,
    conflicts_sound,
    presumed_found,
    readings_possible,
    renewals_sound,
    usages_sound,
)
from headwater.book.check_records import (
    assumptions_sound,
    attributes_known,
    checks_sound,
    dangers_sound,
    disassembly_sound,
    modes_sound,
    observable,
    overrides_said,
    renames_sound,
)
from headwater.book.check_remedies import (
    damage_has_disposition,
    figures_have_sources,
    origins_complete,
    remedies_only_in_actions,
)
from headwater.book.check_weighed import (
    always_means_always,
    material_bears_it,
    one_cause_decided,
    one_meaning_once,
    origins_seen_twice,
    said_once,
)
from headwater.book.problem import Faults, Problem, Works
from headwater.book.records import Book
from headwater.book.refs import ids_resolve

BookRule = Callable[[Book], Faults]


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


RULES: tuple[tuple[str, str, BookRule], ...] = (
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
    ("usage", "error", usages_sound),
    ("renewed", "error", renewals_sound),
    ("says", "error", answers_come_to_something),
    ("parts", "error", answers_part),
    ("possible", "error", readings_possible),
    ("conflict", "error", conflicts_sound),
    ("presumes", "error", presumed_found),
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
    ("worded", "warning", looks_worded),
    ("two-questions", "warning", one_question),
    ("presupposed", "error", nothing_presupposed),
    ("driven", "warning", drives_marked),
    ("drive-time", "warning", drives_timed),
    ("told-alone", "error", told_alone_holds),
    ("rivals", "error", one_cause_decided),
    ("always", "warning", always_means_always),
    ("twin", "error", one_meaning_once),
    ("said-twice", "warning", said_once),
    ("one-look", "warning", origins_seen_twice),
    ("material", "warning", material_bears_it),
    ("repeat", "warning", no_repeats),
    ("override", "note", overrides_said),
)
