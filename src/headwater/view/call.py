"""What a call shows while it runs, and the sheet it ends in.

Nothing here says what is to be done with a part before the shop has seen it: of the gate's plan
only advice and looks are told on the phone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from headwater.book.tables import Drive, Seat
from headwater.session.again import has_heard
from headwater.session.ask import NextCheck
from headwater.session.call import Call
from headwater.session.earlier import is_comeback
from headwater.session.triage import (
    Want,
    decides,
    first_in_shop,
    live_chains,
    looks_without_tools,
    may_begin_at,
    not_to_buy,
    phone_steps,
    want_of,
    wants_told,
)
from headwater.verdict.assess import Assessment
from headwater.verdict.live import LiveChain
from headwater.verdict.prices import Prices
from headwater.verdict.reach import minutes_to_open
from headwater.view.advice import MARKS, TONES, AdviceView, advice_view, caller_words
from headwater.view.answers import finding_views
from headwater.view.audit import work_words
from headwater.view.cost import CostView, cost_view
from headwater.view.headline import headline
from headwater.view.paper import Block, Facts, Paper, Section, listed, say
from headwater.view.spoken import Wanted
from headwater.view.told import told_blocks
from headwater.view.words import chain_words, minutes_words, part_title, percent, title

BRING_ALWAYS = "bills of any work on it, and the odometer reading"
BUY_NOTHING = "Please do not buy anything yet: the shop has not seen where it begins."
BUY_NO_UNIT = "Please do not order a transfer case yet."
LOOKS = (
    "The caller can look from beside it: parked, engine off and cold, nobody under it or over it"
)
NO_CHAIN = "none: nothing that the driveline does was told"
SEEN_FIRST = "none yet: what was told has to be looked at first"
DANGER_FIRST = "none yet: a sign of danger was told, and comes first"
COMEBACK = (
    "Thank you for ringing at once. I have written down every word. Nobody has looked at it yet, "
    "so I cannot say today what it is or what it comes from. It is looked at before anything is "
    "done, also in the light of the earlier job, and you hear what was found before you decide "
    "anything."
)
"""What is read to somebody whose vehicle was worked on before: it admits and denies nothing."""


@dataclass(frozen=True)
class Ringing:
    """A call that has come to its end, and why; with the shop's price list where one is named."""

    call: Call
    ended: str
    prices: Prices | None = None

    @cached_property
    def sheet(self) -> CallSheetView:
        """What the call leaves behind; every form of it shows the same."""
        return _sheet(self)


@dataclass(frozen=True, slots=True)
class SaidView:
    """One thing the caller told: the question, the answer in words, and their own words if kept."""

    check: str
    question: str
    answer: str
    note: str


@dataclass(frozen=True, slots=True)
class LiveView:
    """A chain that is still possible, in words."""

    words: str
    share: float


@dataclass(frozen=True, slots=True)
class ShopCheckView:
    """A check for the shop to make first, and why."""

    check: str
    question: str
    seat: str
    minutes: float
    why: str


@dataclass(frozen=True, slots=True)
class WantView:
    """What the caller asked for, in their words, and what they are told."""

    words: str
    tell: str


@dataclass(frozen=True, slots=True)
class MinutesView:
    """Time spent on the phone, and what the shop's first checks take."""

    call: float
    shop: float


@dataclass(frozen=True, slots=True)
class CallSheetView:
    """What a call came to. `cost` is None without a price file."""

    case: str
    complaint: str
    told: tuple[str, ...]
    not_placed: tuple[str, ...]
    to_see: tuple[str, ...]
    standing: str
    drive: AdviceView
    advice: str
    said: tuple[SaidView, ...]
    chains: tuple[LiveView, ...]
    not_yet: tuple[str, ...]
    tell: tuple[str, ...]
    wanted: tuple[WantView, ...]
    worked_on: str
    comeback: str
    plan: tuple[str, ...]
    shop_first: tuple[ShopCheckView, ...]
    look: tuple[str, ...]
    bring: tuple[str, ...]
    ended: str
    minutes: MinutesView
    cost: CostView | None


def sheet_view(ringing: Ringing) -> CallSheetView:
    """Return the sheet of a call. With prices it says what finding out costs, and the range."""
    return ringing.sheet


def _sheet(ringing: Ringing) -> CallSheetView:
    session = ringing.call.session
    verdict, book = session.verdict, session.book
    parts, first = not_to_buy(verdict), _shop_first(verdict)
    wanted, driveline = wants_told(session.case), not _is_elsewhere(verdict)
    opens = dict.fromkeys(rid for item in first for rid in item.opens)
    minutes = sum(book.checks[item.check].minutes for item in first) + minutes_to_open(book, opens)
    shares = live_chains(verdict, 5)
    return CallSheetView(
        case=session.case.case,
        complaint=session.case.complaint,
        told=session.case.told,
        not_placed=session.case.not_placed,
        to_see=tuple(title(book, one) for one in session.to_see),
        standing=headline(verdict),
        drive=advice_view(verdict),
        advice=caller_words(verdict),
        said=tuple(_said(ringing.call)),
        chains=tuple(LiveView(chain_words(book, c.path), round(c.share, 4)) for c in shares),
        not_yet=tuple(part_title(book, part) for part in parts),
        tell=tuple(not_yet_words(verdict, Want("", part)) for part in parts[:1] if not wanted),
        wanted=tuple(WantView(w, not_yet_words(verdict, want_of(verdict, w))) for w in wanted),
        worked_on=work_words(session.case.before) if session.case.before else "",
        comeback=COMEBACK if is_comeback(session.case) else "",
        plan=tuple(
            f"{part_title(book, step.on)}: {step.action.value}. {step.text}"
            for step in phone_steps(verdict)
            if step.action
        ),
        shop_first=tuple(_shop_check(verdict, item) for item in first),
        look=tuple(c.say or c.ask for c in looks_without_tools(verdict) if driveline),
        bring=tuple(dict.fromkeys([*_bring(verdict), BRING_ALWAYS])),
        ended=ringing.ended,
        minutes=MinutesView(round(ringing.call.minutes, 1), minutes),
        cost=cost_view(session, ringing.prices, minutes) if ringing.prices else None,
    )


def _said(call: Call) -> Iterator[SaidView]:
    checks = call.session.book.checks
    for found in finding_views(call.session):
        check = checks[found.check]
        note = found.note if found.note.lower() != found.words.lower() else ""
        yield SaidView(found.check, check.say or check.ask, found.words, note)


def _shop_check(verdict: Assessment, item: NextCheck) -> ShopCheckView:
    check = verdict.book.checks[item.check]
    told = [title(verdict.book, cid) for cid in decides(verdict, check)]
    why = f"it shows whether: {'; '.join(told)}" if told else "it tells the causes apart"
    seat = Seat.HOIST if Seat.HOIST in check.seats else check.seats[0]
    return ShopCheckView(item.check, check.ask, seat.value, item.minutes, why)


def wants_paper(wanted: Wanted) -> Paper:
    """Return the sentence for a caller who wants just a part."""
    verdict = wanted.call.session.verdict
    words = not_yet_words(verdict, want_of(verdict, wanted.words))
    return Paper("", (say(f'Say: "{words}"'),), ())


def not_yet_words(verdict: Assessment, want: Want) -> str:
    """Return what to tell a caller who wants to buy what nobody has seen yet."""
    if not want.part and not want.whole:
        return BUY_NOTHING
    book = verdict.book
    head = BUY_NO_UNIT
    if want.part:
        head = f"Please do not buy anything for the {part_title(book, want.part)} yet."
    why = want.tell or "Bought first, it may change nothing or go the same way."
    causes = [chain.path[0] for chain in live_chains(verdict)]
    if want.part and not causes:
        causes = may_begin_at(verdict, want.part)
    names = _or([title(book, cid) for cid in causes]) if causes else "something nobody has seen yet"
    first = next((c for c in _shop_first(verdict) if Seat.CALL not in _seats(verdict, c)), None)
    shop = f" The shop first checks: {book.checks[first.check].ask}" if first else ""
    return f"{head} {why} What you tell of may begin with: {names}.{shop}"


def _shop_first(verdict: Assessment) -> list[NextCheck]:
    """Return what the shop checks first; nothing where only other troubles were told."""
    return [] if _is_elsewhere(verdict) else first_in_shop(verdict)


def _is_elsewhere(verdict: Assessment) -> bool:
    """Say whether only other troubles, or a wish, were told."""
    return bool(verdict.stand.outside) and not verdict.accounts


def _seats(verdict: Assessment, item: NextCheck) -> tuple[Seat, ...]:
    return verdict.book.checks[item.check].seats


def _or(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])}, or {words[-1]}"


def _bring(verdict: Assessment) -> list[str]:
    """Return what the caller should bring or photograph, for the complaints that are found."""
    found = [verdict.book.conditions[cid].bring for cid in verdict.accounts]
    return [text for text in dict.fromkeys(found) if text] or [BRING_ALWAYS]


def advice_paper(wanted: Wanted) -> Paper:
    """Return whether it may be driven, as it stands: what no screen of a call is without."""
    return Paper("", (_advice_row(wanted.call.session.verdict),), ())


def comeback_paper(wanted: Wanted) -> Paper:
    """Return what is read to somebody who rings about earlier work; nothing to anybody else."""
    told = (say(f'Say: "{COMEBACK}"'),) if is_comeback(wanted.call.session.case) else ()
    return Paper("", told, ())


def _advice_row(verdict: Assessment) -> Facts:
    advice = advice_view(verdict).advice
    return Facts((("Drive", f"{MARKS[advice]} {caller_words(verdict)}"),), TONES[advice])


MANY_ANSWERS = 6
"""Answers beside which there is no room on a small screen for what the caller may look at."""


def standing_paper(wanted: Wanted) -> Paper:
    """Return what must be visible at every moment of a call, short enough for a small screen."""
    verdict = wanted.call.session.verdict
    book = verdict.book
    rows: list[tuple[str, str]] = []
    chains = live_chains(verdict, 3)
    if chains:
        top = _ends(chains[0].path)
        rows.append(("Live", f"{chain_words(book, top)} ({_share(chains[0])})"))
    else:
        rows.append(("Live", "no chain yet"))
    others = [f"{title(book, c.path[0])} ({_share(c)})" for c in chains[1:]]
    if others:
        rows.append(("", f"or it began with: {'; '.join(others)}"))
    parts = [part_title(book, part) for part in not_to_buy(verdict)]
    if parts:
        rows.append(("Not yet", f"do not buy: {', '.join(parts)}"))
    looks = [c for c in looks_without_tools(verdict, 2) if c is not wanted.current]
    long = wanted.current is not None and len(wanted.current.answers) > MANY_ANSWERS
    if looks and not long:
        rows.append(("Look", looks[0].say or looks[0].ask))
    left = wanted.call.session.case.not_placed
    if left:
        same = "; 'same' if it adds nothing" if has_heard(wanted.call.session) else ""
        mend = f"ask in other words ('also ...'){same}"
        rows.append(("Unclear", f"'{left[0]}': {mend}"))
    facts = Facts((*rows, ("Bring", _bring(verdict)[0])))
    return Paper("", (_advice_row(verdict), facts), ())


def _ends(path: tuple[str, ...]) -> tuple[str, ...]:
    """Return a long chain with its middle left out: where it begins and where it shows."""
    return path if len(path) <= 4 else (*path[:2], "...", *path[-2:])


def _share(chain: LiveChain | LiveView) -> str:
    return "named" if chain.share >= 1.0 else percent(chain.share)


def sheet_paper(ringing: Ringing) -> Paper:
    """Return the sheet as a paper."""
    sheet = sheet_view(ringing)
    told = told_blocks(ringing.call.session)
    sections = (Section(head, (_told(texts),)) for head, texts in _sections(sheet) if texts)
    foot = f"Drive advice given: {MARKS[sheet.drive.advice]} {sheet.advice}"
    blocks = (*told, say(sheet.standing))
    return Paper(f"Call sheet: {sheet.case}", blocks, tuple(sections), foot)


def _told(texts: list[str]) -> Block:
    return say(texts[0]) if len(texts) == 1 else listed(texts)


def _no_chain(sheet: CallSheetView) -> str:
    """Say why there is no live chain: what is to be seen first is not nothing."""
    if sheet.drive.now and sheet.drive.advice is Drive.STOP:
        return DANGER_FIRST
    return SEEN_FIRST if sheet.to_see or sheet.not_placed else NO_CHAIN


def _sections(sheet: CallSheetView) -> Iterator[tuple[str, list[str]]]:
    yield "Drive advice given", [f"{MARKS[sheet.drive.advice]} {sheet.advice}"]
    yield "To read out, as it was worked on before", [sheet.comeback] if sheet.comeback else []
    own = [f"{s.question} {s.answer}" + (f' ("{s.note}")' if s.note else "") for s in sheet.said]
    yield "What was said", own or ["nothing yet"]
    yield "Worked on before", [sheet.worked_on] if sheet.worked_on else []
    chains = [f"{c.words} ({_share(c)})" for c in sheet.chains]
    yield (
        "Live chains, likeliest first",
        chains or [_no_chain(sheet)],
    )
    yield "Plan, origin first", list(sheet.plan)
    yield "The caller wants", [f"{one.words}: {one.tell}" for one in sheet.wanted]
    if sheet.not_yet:
        yield "Do not buy yet", [", ".join(sheet.not_yet), *sheet.tell]
    shop = [
        f"{item.question} ({item.check}, {item.seat}, {minutes_words(item.minutes)}): {item.why}"
        for item in sheet.shop_first
    ]
    if shop:
        total = f"Together {minutes_words(sheet.minutes.shop)}."
        yield "The shop checks first", [*shop, total]
    yield "What it may cost", list(sheet.cost.words) if sheet.cost else []
    yield LOOKS, list(sheet.look)
    yield "Bring or photograph", list(sheet.bring)
    spent = sheet.minutes.call
    time = "under 1 min" if spent < 1.0 else minutes_words(spent)
    yield "End of the call", [f"{sheet.ended} Time on the phone: {time}."]
