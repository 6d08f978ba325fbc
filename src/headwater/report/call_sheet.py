"""What a call shows while it runs, and the sheet it ends in: terminal lines, Markdown, data.

Nothing here says what is to be done with a part before the shop has seen it: of the gate's plan
only advice and looks are told on the phone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from headwater.book.model import Check
from headwater.book.tables import CANNOT_CHECK, DONT_KNOW, GONE
from headwater.measure.answer import Judged, say_given
from headwater.report.cost_words import Cost, cost_data, cost_words, make_cost
from headwater.report.text import HEADLINES, Line
from headwater.session.ask import NextCheck
from headwater.session.session import Session
from headwater.session.triage import (
    decides,
    first_in_shop,
    live_chains,
    looks_without_tools,
    may_begin_at,
    not_to_buy,
    phone_steps,
)
from headwater.verdict.assess import Assessment
from headwater.verdict.drive import DriveAdvice
from headwater.verdict.possible import LiveChain
from headwater.verdict.prices import Prices
from headwater.verdict.reach import minutes_to_open
from headwater.view.words import minutes_words, part_title, percent, title

DRIVE_WORDS = {"stop": "STOP, do not drive.", "limp": "DRIVE WITH LIMITS.", "ok": "OK to drive in."}
NOTHING_KNOWN = "LEAVE IT PARKED until something is known."
BRING_ALWAYS = "bills of any work on the transfer case, and the odometer reading"
UNSAID = {DONT_KNOW: "not sure", CANNOT_CHECK: "could not look", GONE: "cannot be seen any more"}
LABEL = 9


@dataclass(frozen=True, slots=True)
class Said:
    """One thing the caller told: the question, the answer in words, and their own words if kept."""

    check: str
    question: str
    answer: str
    note: str


@dataclass(frozen=True, slots=True)
class ShopCheck:
    """A check for the shop to make first, and why."""

    check: str
    question: str
    seat: str
    minutes: float
    why: str


@dataclass(frozen=True, slots=True)
class CallSheet:
    """What a call came to. `shop_minutes` counts each step of disassembly once.

    `cost` is None without a price file.
    """

    case: str
    complaint: str
    said: tuple[Said, ...]
    drive: DriveAdvice
    advice: str
    standing: str
    chains: tuple[tuple[str, float], ...]
    not_yet: tuple[str, ...]
    tell: tuple[str, ...]
    plan: tuple[str, ...]
    shop: tuple[ShopCheck, ...]
    look: tuple[str, ...]
    bring: tuple[str, ...]
    ended: str
    call_minutes: float
    shop_minutes: float
    cost: Cost | None = None


def advice_words(assessment: Assessment) -> str:
    """Return the drive advice with its reason and limits, in a caller's words."""
    advice = assessment.drive()
    told = any(judged.settled for judged in assessment.stand.answered.values())
    if advice.advice == "ok" and not told:
        return NOTHING_KNOWN
    parts = [DRIVE_WORDS[advice.advice.value], _sentence(advice.because)]
    if advice.limits:
        parts.append(_sentence(advice.limits))
    if not advice.sure:
        parts.append("Not found yet, but not ruled out.")
    return " ".join(parts)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!")) else ".")


def chain_words(assessment: Assessment, chain: LiveChain) -> str:
    """Return a chain as one line, from its origin down."""
    return " -> ".join(title(assessment.book, cid) for cid in chain.path)


def not_yet_words(assessment: Assessment, part: str) -> str:
    """Return the sentence for a caller who wants just this part."""
    book = assessment.book
    name = part_title(book, part)
    chains = live_chains(assessment)
    causes = [chain.path[0] for chain in chains] or may_begin_at(assessment, part)
    shop = first_in_shop(assessment, 1)
    first = f" The shop first checks: {book.checks[shop[0].check].ask}" if shop else ""
    names = _or([title(book, cid) for cid in causes]) if causes else "something nobody has seen yet"
    return (
        f"Please do not buy anything for the {name} yet. What you tell of may begin with: {names}. "
        f"Bought first, it may change nothing or go the same way.{first}"
    )


def _or(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])}, or {words[-1]}"


def bring_words(assessment: Assessment) -> list[str]:
    """Return what the caller should bring or photograph, for the complaints that are found."""
    found = [assessment.book.conditions[cid].bring for cid in assessment.accounts]
    return [text for text in dict.fromkeys(found) if text] or [BRING_ALWAYS]


def standing_block(assessment: Assessment, current: Check | None = None) -> Iterator[Line]:
    """Yield what must be visible at every moment of a call, short enough for a small screen."""
    advice = assessment.drive()
    style = "good" if advice.advice == "ok" and assessment.accounts else "bad"
    yield _labelled("Drive", advice_words(assessment), style)
    chains = live_chains(assessment, 3)
    if chains:
        top = LiveChain(_ends(chains[0].path), chains[0].share)
        yield _labelled("Live", f"{chain_words(assessment, top)} ({_share(top)})")
    else:
        yield _labelled("Live", "no chain yet")
    others = [f"{title(assessment.book, c.path[0])} ({_share(c)})" for c in chains[1:]]
    if others:
        yield _labelled("", f"or it began with: {'; '.join(others)}")
    parts = [part_title(assessment.book, part) for part in not_to_buy(assessment)]
    if parts:
        yield _labelled("Not yet", f"do not buy: {', '.join(parts)}")
    looks = [c for c in looks_without_tools(assessment, 2) if current is None or c.id != current.id]
    if looks:
        yield _labelled("Look", looks[0].say or looks[0].ask)
    yield _labelled("Bring", bring_words(assessment)[0])


def _ends(path: tuple[str, ...]) -> tuple[str, ...]:
    """Return a long chain with its middle left out: where it begins and where it shows."""
    return path if len(path) <= 4 else (*path[:2], "...", *path[-2:])


def _labelled(label: str, text: str, style: str = "plain") -> Line:
    if not label:
        return Line(text, style, LABEL, 0)
    return Line(f"{label:<{LABEL}}{text}", style, 0, LABEL)


def _share(chain: LiveChain) -> str:
    return "named" if chain.share >= 1.0 else percent(chain.share)


def make_sheet(
    session: Session,
    ended: str,
    call_minutes: float,
    notes: Mapping[str, str] | None = None,
    prices: Prices | None = None,
) -> CallSheet:
    """Return the sheet of a call. `notes` are the caller's own words by check.

    With `prices` it says what finding out costs, and the range of what is still possible.
    """
    assessment = session.verdict
    kept = notes or {}
    parts = not_to_buy(assessment)
    first = first_in_shop(assessment)
    opens = dict.fromkeys(rid for item in first for rid in item.opens)
    book = assessment.book
    minutes = sum(book.checks[item.check].minutes for item in first) + minutes_to_open(book, opens)
    return CallSheet(
        case=session.case.case,
        complaint=session.case.complaint,
        said=tuple(
            _said(assessment, judged, kept.get(judged.check, ""))
            for judged in session.answers.values()
        ),
        drive=assessment.drive(),
        advice=advice_words(assessment),
        standing=HEADLINES[assessment.ending],
        chains=tuple((chain_words(assessment, c), c.share) for c in live_chains(assessment, 5)),
        not_yet=tuple(part_title(assessment.book, part) for part in parts),
        tell=tuple(not_yet_words(assessment, part) for part in parts[:1]),
        plan=tuple(
            f"{part_title(assessment.book, step.on)}: {step.action.value}. {step.text}"
            for step in phone_steps(assessment)
            if step.action
        ),
        shop=tuple(_shop_check(assessment, item) for item in first),
        look=tuple(check.say or check.ask for check in looks_without_tools(assessment)),
        bring=tuple(dict.fromkeys([*bring_words(assessment), BRING_ALWAYS])),
        ended=ended,
        call_minutes=call_minutes,
        shop_minutes=minutes,
        cost=make_cost(assessment, prices, minutes) if prices else None,
    )


def _said(assessment: Assessment, judged: Judged, note: str) -> Said:
    check = assessment.book.checks[judged.check]
    limit = assessment.book.limits[check.reading.limit] if check.reading else None
    word = judged.special or say_given(judged, limit)
    answer = {str(key): a.says for key, a in check.answers.items()}.get(word, "")
    plain = UNSAID.get(word, word.replace("-", " "))
    words = answer if answer and not judged.quantity else plain
    return Said(judged.check, check.say or check.ask, words, note)


def _shop_check(assessment: Assessment, item: NextCheck) -> ShopCheck:
    check = assessment.book.checks[item.check]
    told = [title(assessment.book, cid) for cid in decides(assessment, check)]
    why = f"it shows whether: {'; '.join(told)}" if told else "it tells the causes apart"
    return ShopCheck(item.check, check.ask, item.seat.value, item.minutes, why)


def _time_words(minutes: float) -> str:
    return "under 1 min" if minutes < 1.0 else minutes_words(minutes)


def sections(sheet: CallSheet) -> Iterator[tuple[str, list[str]]]:
    """Yield the sheet section by section: a heading and its paragraphs."""
    yield "Drive advice given", [sheet.advice]
    yield "What was said", [_said_words(said) for said in sheet.said] or ["nothing yet"]
    chains = [f"{words} ({_share(LiveChain((), share))})" for words, share in sheet.chains]
    yield "Live chains, likeliest first", chains or ["none: nothing abnormal was told"]
    if sheet.plan:
        yield "Plan, origin first", list(sheet.plan)
    if sheet.not_yet:
        yield "Do not buy yet", [", ".join(sheet.not_yet), *sheet.tell]
    shop = [
        f"{item.question} ({item.check}, {item.seat}, {minutes_words(item.minutes)}): {item.why}"
        for item in sheet.shop
    ]
    if shop:
        total = f"Together {minutes_words(sheet.shop_minutes)}."
        yield "The shop checks first", [*shop, total]
    if sheet.cost:
        yield "What it may cost", cost_words(sheet.cost)
    if sheet.look:
        yield "The caller can look, parked and without tools", list(sheet.look)
    yield "Bring or photograph", list(sheet.bring)
    yield (
        "End of the call",
        [f"{sheet.ended} Time on the phone: {_time_words(sheet.call_minutes)}."],
    )


def _said_words(said: Said) -> str:
    own = f' ("{said.note}")' if said.note and said.note.lower() != said.answer.lower() else ""
    return f"{said.question} {said.answer}{own}"


def sheet_lines(sheet: CallSheet) -> Iterator[Line]:
    """Yield the sheet for the terminal."""
    yield Line(f"Call sheet: {sheet.case}", "head")
    if sheet.complaint:
        yield Line(f'"{sheet.complaint}"', indent=2)
    yield Line(sheet.standing, indent=2)
    for heading, paragraphs in sections(sheet):
        yield Line()
        yield Line(heading, "head")
        for text in paragraphs:
            yield Line(f"- {text}" if len(paragraphs) > 1 else text, indent=2)


def sheet_markdown(sheet: CallSheet) -> str:
    """Return the sheet as Markdown; what a caller said can carry no markup."""
    lines = [f"# Call sheet: {_plain(sheet.case)}", ""]
    if sheet.complaint:
        lines += [f"> {_plain(sheet.complaint)}", ""]
    lines += [_plain(sheet.standing), ""]
    for heading, paragraphs in sections(sheet):
        lines += [f"## {heading}", "", *(f"- {_plain(text)}" for text in paragraphs), ""]
    return "\n".join(lines)


def _plain(text: str) -> str:
    """Return text that Markdown shows as it is.

    >>> _plain("see [me](http://x) <b>")
    'see \\\\[me\\\\](http&#58;//x) &lt;b&gt;'
    """
    safe = re.sub(r"([\\`*_\[\]|#~])", r"\\\1", " ".join(text.split()))
    safe = safe.replace("&", "&amp;").replace("<", "&lt;").replace(" -> ", " → ")
    return safe.replace(">", "&gt;").replace("://", "&#58;//")


def sheet_data(sheet: CallSheet) -> dict[str, object]:
    """Return the sheet as plain data for JSON."""
    return {
        "case": sheet.case,
        "complaint": sheet.complaint,
        "said": [
            {"check": s.check, "question": s.question, "answer": s.answer, "note": s.note}
            for s in sheet.said
        ],
        "drive": {
            "advice": sheet.drive.advice.value,
            "because": sheet.drive.because,
            "limits": sheet.drive.limits,
            "condition": sheet.drive.condition,
            "sure": sheet.drive.sure,
            "words": sheet.advice,
        },
        "chains": [{"words": words, "share": round(share, 4)} for words, share in sheet.chains],
        "not_yet": list(sheet.not_yet),
        "tell": list(sheet.tell),
        "plan": list(sheet.plan),
        "shop_first": [
            {
                "check": s.check,
                "question": s.question,
                "seat": s.seat,
                "minutes": s.minutes,
                "why": s.why,
            }
            for s in sheet.shop
        ],
        "look": list(sheet.look),
        "bring": list(sheet.bring),
        "ended": sheet.ended,
        "minutes": {"call": round(sheet.call_minutes, 1), "shop": sheet.shop_minutes},
        "cost": cost_data(sheet.cost) if sheet.cost else None,
    }
