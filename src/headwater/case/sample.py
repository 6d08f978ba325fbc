"""Runs the small cases that stand beside the chains, and says where they come out differently."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from headwater.book.load import Book
from headwater.book.model import Expect, Sample
from headwater.book.problem import Problem
from headwater.case.load import CaseError, check_id, given_of
from headwater.case.model import Finding
from headwater.errors import HeadwaterError
from headwater.measure.answer import Judged, understand
from headwater.rules.evidence import gather
from headwater.rules.status import Status
from headwater.verdict.assess import Assessment, Reasoner, build_reasoner
from headwater.verdict.reach import Stand, torn_down


@dataclass(slots=True)
class SampleRunner:
    """Keeps one reasoner for each unit family met."""

    book: Book
    _reasoners: dict[tuple[tuple[str, str], ...], Reasoner]

    def __init__(self, book: Book) -> None:
        """Start with no reasoner built."""
        self.book = book
        self._reasoners = {}

    def reasoner(self, family: dict[str, str]) -> Reasoner:
        """Return the reasoner of a family, built once."""
        key = tuple(sorted(family.items()))
        if key not in self._reasoners:
            self._reasoners[key] = build_reasoner(self.book, family)
        return self._reasoners[key]

    def assess(self, sample: Sample) -> Assessment:
        """Return what a sample comes to, on a torn-down unit."""
        reasoner = self.reasoner(self.book.family | sample.family)
        return reasoner.assess(self._judged(sample), Stand(removed=torn_down(reasoner.book)))

    def _judged(self, sample: Sample) -> list[Judged]:
        reasoner = self.reasoner(self.book.family | sample.family)
        judged = []
        for ref, value in sample.given.items():
            finding = Finding(str(ref), given_of(value), ref.place)
            if finding.check not in reasoner.book.checks and finding.check in self.book.checks:
                raise CaseError(f"check '{ref}' does not apply to this unit family", ref.place)
            cid = check_id(reasoner.book, finding.check, finding.place)
            judged.append(understand(reasoner.book, reasoner.book.checks[cid], finding.given))
        return judged

    def _statuses(self, sample: Sample) -> dict[str, Status]:
        """Return the statuses alone, which need the rules and nothing else."""
        reasoner = self.reasoner(self.book.family | sample.family)
        facts = gather(reasoner.book, self._judged(sample)).facts
        return reasoner.statuses(reasoner.rules.derive(facts))

    def problems(self) -> Iterator[Problem]:
        """Yield a problem for every sample that does not come out as its author says it must."""
        for chain_id, samples in self.book.samples.items():
            for sample in samples:
                yield from self.problems_of(chain_id, sample)

    def problems_of(self, chain_id: str, sample: Sample) -> Iterator[Problem]:
        """Yield the differences of one sample."""
        try:
            if sample.expect == Expect(statuses=sample.expect.statuses, place=sample.expect.place):
                found = list(status_differences(self._statuses(sample), sample.expect))
            else:
                found = list(differences(self.assess(sample), sample.expect))
        except HeadwaterError as error:
            yield Problem(error.place or sample.place, "error", "case", error.message)
            return
        for text in found:
            yield Problem(sample.place, "error", "case", f"{chain_id}, '{sample.name}': {text}")


def differences(assessment: Assessment, expect: Expect) -> Iterator[str]:
    """Yield in words what came out differently from what is expected."""
    if expect.verdict and assessment.outcome.value != expect.verdict:
        yield f"verdict is {assessment.outcome.value}, not {expect.verdict}{_left(assessment)}"
    named = assessment.origins
    for origin, naming in expect.origins.items():
        found = named.get(str(origin))
        if found is None or found.value != naming:
            yield f"origin '{origin}' is {found.value if found else 'not named'}, not {naming}"
    for origin in expect.not_origins:
        if origin in named:
            yield f"origin '{origin}' is named ({named[str(origin)].value}) and must not be"
    for part, verb in expect.released.items():
        decision = assessment.decisions.get(str(part))
        if decision is None or not decision.released:
            because = decision.because if decision else "nothing found on it"
            yield f"part '{part}' is not released ({because})"
        elif decision.action != verb:
            yield f"part '{part}' is released to {decision.action}, not {verb}"
    for part in expect.held:
        decision = assessment.decisions.get(str(part))
        if decision is None or decision.released:
            yield f"part '{part}' is not held"
    yield from status_differences(assessment.statuses, expect)
    for condition in expect.unexplained:
        if condition not in assessment.unexplained:
            yield f"'{condition}' is not left unexplained"
    if expect.drive and assessment.drive().advice is not expect.drive:
        yield f"drive advice is {assessment.drive().advice}, not {expect.drive}"


def status_differences(statuses: Mapping[str, Status], expect: Expect) -> Iterator[str]:
    """Yield in words which conditions have another status than is expected."""
    for condition, status in expect.statuses.items():
        found = statuses.get(str(condition))
        if found is None or found.value != status:
            yield f"'{condition}' is {found}, not {status}"


def _left(assessment: Assessment) -> str:
    left = [*assessment.unexplained, *assessment.disputed]
    return f" (left: {', '.join(left)})" if left else ""
