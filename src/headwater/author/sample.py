"""Runs the small cases that stand beside the chains, and says where they come out differently."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from headwater.book.files import Expect, Sample
from headwater.book.model import Chain
from headwater.book.problem import Problem
from headwater.book.records import Book
from headwater.case.read import CaseError, raw_answer
from headwater.errors import HeadwaterError
from headwater.measure.answer import Judged
from headwater.rules.status import Status
from headwater.session.findings import find_out
from headwater.session.openbook import OpenBook
from headwater.verdict.assess import Assessment, Reasoner
from headwater.verdict.reach import Stand, torn_down

TOO_CLOSE = "too-close"
"""How a case says that a reading decides nothing."""


@dataclass(frozen=True, slots=True)
class SampleRunner:
    """Runs sample cases on an open book."""

    open_book: OpenBook

    @property
    def book(self) -> Book:
        """The book whose samples are run."""
        return self.open_book.book

    def assess(self, sample: Sample) -> Assessment:
        """Return what a sample comes to, on a torn-down unit."""
        reasoner = self._reasoner(sample)
        stand = Stand(removed=torn_down(reasoner.book))
        return reasoner.assess(self._judged(reasoner, sample), stand)

    def _reasoner(self, sample: Sample) -> Reasoner:
        return self.open_book.compiled(self.book.family | sample.family)

    def _judged(self, reasoner: Reasoner, sample: Sample) -> list[Judged]:
        judged = []
        for ref, value in sample.given.items():
            if str(ref) not in reasoner.book.checks and str(ref) in self.book.checks:
                raise CaseError(f"check '{ref}' does not apply to this unit family", ref.place)
            given = raw_answer(value)
            judged.append(find_out(reasoner.book, str(ref), given, place=ref.place).judged)
        return judged

    def problems(self) -> Iterator[Problem]:
        """Yield a problem for every sample that does not come out as its author says it must."""
        for chain_id, samples in self.book.samples.items():
            for sample in samples:
                yield from self.problems_of(chain_id, sample)

    def problems_of(self, chain_id: str, sample: Sample) -> Iterator[Problem]:
        """Yield the differences of one sample."""
        try:
            assessment = self.assess(sample)
            found = list(differences(assessment, sample.expect))
            found += _not_behind(assessment, self.book.chains.get(chain_id), sample.expect)
        except HeadwaterError as error:
            yield Problem(error.place or sample.place, "error", "case", error.message)
            return
        for text in found:
            yield Problem(sample.place, "error", "case", f"{chain_id}, '{sample.name}': {text}")


def _not_behind(assessment: Assessment, chain: Chain | None, expect: Expect) -> Iterator[str]:
    """Say so where a case names its chain's origin, which is not behind what the chain is about."""
    if chain is None:
        return
    origin, account = str(chain.because[-1].cause), assessment.accounts.get(str(chain.found))
    if origin not in map(str, (*expect.origins, *expect.listed)) or account is None:
        return
    behind = {c.origin for c in account.candidates} | {c.origin for c in account.chains}
    if origin not in behind:
        yield f"origin '{origin}' is not behind '{chain.found}', which its chain is about"


def differences(assessment: Assessment, expect: Expect) -> Iterator[str]:
    """Yield in words what came out differently from what is expected."""
    if expect.verdict and assessment.ending.value != expect.verdict:
        yield f"verdict is {assessment.ending.value}, not {expect.verdict}{_left(assessment)}"
    said = expect.origins or expect.not_origins or expect.listed
    named = assessment.origins if said else {}
    for origin, naming in expect.origins.items():
        found = named.get(str(origin))
        if found is None or found.value != naming:
            yield f"origin '{origin}' is {found.value if found else 'not named'}, not {naming}"
    for origin in expect.not_origins:
        if origin in named:
            yield f"origin '{origin}' is named ({named[str(origin)].value}) and must not be"
    for origin in expect.listed:
        if origin not in named and origin not in _candidates(assessment):
            yield f"origin '{origin}' is neither named nor listed"
    for check, answer in expect.judged.items():
        judged = assessment.stand.answered[str(check)].settled or TOO_CLOSE
        if judged != answer:
            yield f"the reading of '{check}' is judged {judged}, not {answer}"
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
    if expect.drive and assessment.drive.advice is not expect.drive:
        yield f"drive advice is {assessment.drive.advice}, not {expect.drive}"


def status_differences(statuses: Mapping[str, Status], expect: Expect) -> Iterator[str]:
    """Yield in words which conditions have another status than is expected."""
    for condition, status in expect.statuses.items():
        found = statuses.get(str(condition))
        if found is None or found.value != status:
            yield f"'{condition}' is {found}, not {status}"


def _candidates(assessment: Assessment) -> set[str]:
    """Return the origins that may still be behind something found."""
    accounts = assessment.accounts.values()
    return {c.origin for a in accounts for c in a.candidates if c.origin}


def _left(assessment: Assessment) -> str:
    left = [*assessment.unexplained, *assessment.disputed]
    return f" (left: {', '.join(left)})" if left else ""
