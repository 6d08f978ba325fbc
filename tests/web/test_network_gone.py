"""The network goes while somebody is at the bench: answers wait in the page, and are sent once."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any

import pytest

from headwater.book.tables import Seat
from headwater.case.read import raw_answer, read_case
from headwater.session.ahead import MOST_AHEAD, checks_ahead
from headwater.session.session import open_session
from web.browsing import CHROMIUM, chromium, come_in, faults_of, keep, served, watch
from web.conftest import Standing, token
from web.seating import Sitter

CASE = "pads"
IDS = ("a" * 24, "b" * 24)


def _answers(yard: Standing, name: str = CASE) -> list[tuple[str, object]]:
    case = read_case(yard.folder / f"{name}.yaml")
    return [(str(e.check), raw_answer(e.answer)) for e in case.findings if e.check and e.answer]


# What the house does with an answer that waited ------------------------------------------------


def _sent(sitter: Sitter, **more: str) -> Any:
    sent = {"check": sitter.check, "seen": sitter.seen, "answer": "dont-know", "id": IDS[0]}
    return sitter.post("answer", **(sent | more))


def test_the_same_id_counts_once_whoever_sends_it_and_whatever_became_of_the_house(
    yard: Standing,
) -> None:
    bench = Sitter.at(yard, CASE, "bench", "Ada")
    before = len(_answers(yard))
    for _ in range(3):
        assert _sent(bench).status_code == 204
    other = Sitter.at(yard, CASE, "bench", "Ben")
    assert other.post("answer", check=bench.check, seen="0", answer="free", id=IDS[0]).is_success
    yard.house._seated.clear()  # as after a new start
    yard.house._kept.clear()
    assert _sent(bench).status_code == 204
    assert len(_answers(yard)) == before + 1
    assert read_case(yard.folder / f"{CASE}.yaml").findings[-1].sent == IDS[0]


def test_two_ids_are_two_answers_from_one_page(yard: Standing) -> None:
    bench = Sitter.at(yard, CASE, "bench")
    before = _answers(yard)
    ahead = _ahead(yard)[0]
    assert _sent(bench).status_code == 204
    assert _sent(bench, check=ahead, answer="cannot-check", id=IDS[1]).status_code == 204
    assert _answers(yard)[len(before) :] == [(bench.check, "dont-know"), (ahead, "cannot-check")]


def test_an_answer_that_somebody_else_overtook_stands_as_another_look(yard: Standing) -> None:
    ada, ben = (Sitter.at(yard, CASE, "bench", who) for who in ("Ada", "Ben"))
    sent = {"check": ada.check, "seen": ada.seen, "answer": "pressed", "id": IDS[0]}
    ben.answer("free")
    ben.answer("dont-know")
    assert ada.post("answer", **sent).status_code == 204
    with yard.house.reading(CASE) as session:
        looks = [f for f in session.findings if f.check == "lever-travel"]
        assert [(f.judged.settled, f.corrects) for f in looks] == [
            ("free", None),
            ("pressed", None),
        ]
        assert session.verdict.disputed or session.verdict.evidence.disputed


def test_what_cannot_be_taken_is_answered_in_words(yard: Standing) -> None:
    bench = Sitter.at(yard, CASE, "bench")
    before = _answers(yard)
    reply = _sent(bench, check="bearing-float", answer="", reading="much")
    assert (reply.status_code, reply.headers["content-type"]) == (200, "text/plain; charset=utf-8")
    assert "write a number and its unit" in reply.text
    assert _answers(yard) == before


def test_an_answer_to_what_such_a_unit_cannot_have_is_kept_as_told(yard: Standing) -> None:
    """Somebody told meanwhile how it is built, and the check went with it."""
    bench = Sitter.at(yard, CASE, "bench")
    with yard.house.reading(CASE) as session:
        family = dict(session.family)
    gone = _narrowed(yard, family)[0]
    ask = yard.house.book.book.checks[gone].ask
    before = _answers(yard)
    assert _sent(bench, check=gone).status_code == 204
    assert "Kept as told only" in bench.look()
    assert _sent(bench, check=gone).status_code == 204
    assert _answers(yard) == before
    told = [e for e in read_case(yard.folder / f"{CASE}.yaml").findings if e.sent]
    assert [(e.told, e.sent) for e in told] == [(f"{ask} dont-know", IDS[0])]


def _narrowed(yard: Standing, family: dict[str, str]) -> list[str]:
    """Tell how the unit is built, and return the checks that go with it."""
    whole = yard.house.book.book
    for attribute, one in whole.attributes.items():
        for value in one.values:
            own = yard.house.book.compiled(family | {attribute: str(value)}).book
            gone = [check for check in whole.checks if check not in own.checks]
            if gone:
                with yard.house.writing(CASE) as session:
                    session.describe({attribute: str(value)})
                return gone
    raise AssertionError("every check applies to every unit")


@pytest.mark.parametrize("given", ["x" * 500, "<b>", "'"])
def test_an_id_of_any_kind_harms_nothing(yard: Standing, given: str) -> None:
    bench = Sitter.at(yard, CASE, "bench")
    assert _sent(bench, id=given).status_code == 204
    assert _sent(bench, id=given).status_code == 204
    assert read_case(yard.folder / f"{CASE}.yaml").findings[-1].sent == given[:40]


# What a page carries ---------------------------------------------------------------------------


def _ahead(yard: Standing, name: str = CASE) -> tuple[str, ...]:
    case = read_case(yard.folder / f"{name}.yaml")
    session = open_session(yard.house.book, case, Seat.BENCH)
    return checks_ahead(session, session.next()[0].check)


@pytest.mark.parametrize("name", ["pads", "healthy", "loop", "bore", "magnesium"])
def test_what_is_carried_hangs_on_no_answer_before_it(yard: Standing, name: str) -> None:
    case = read_case(yard.folder / f"{name}.yaml")
    session = open_session(yard.house.book, case, Seat.BENCH)
    now = session.next()[0].check
    ahead = _ahead(yard, name)
    assert 0 < len(ahead) <= MOST_AHEAD
    assert len({now, *ahead}) == len(ahead) + 1
    checks = [session.book.checks[one] for one in (now, *ahead)]
    for place, check in enumerate(checks[1:], 1):
        for before in checks[:place]:
            assert not check.decides() & before.decides()
            assert not set(map(str, check.presumes)) & set(before.speaks_of())
            assert check.act_at(Seat.BENCH) != before.act_at(Seat.BENCH)


def test_what_was_put_off_is_not_carried(yard: Standing) -> None:
    case = read_case(yard.folder / "pads.yaml")
    session = open_session(yard.house.book, case, Seat.BENCH)
    now, first = session.next()[0].check, _ahead(yard)[0]
    assert first not in checks_ahead(session, now, {first})


def test_a_page_carries_its_next_questions_and_says_what_it_cannot_without_script(
    yard: Standing,
) -> None:
    bench = Sitter.at(yard, CASE, "bench")
    carried = bench.page.split('<template class="ahead">')[1:]
    assert len(carried) == len(_ahead(yard))
    for check, part in zip(_ahead(yard), carried, strict=True):
        assert f'name="check" value="{check}"' in part
        assert f'name="seen" value="{bench.seen}"' in part
    said = bench.page.partition("<noscript>")[2].partition("</noscript>")[0]
    assert "an answer cannot wait here when the network is gone" in said
    call = Sitter.at(yard, CASE, "call")
    assert 'class="ahead"' not in call.page
    assert "<noscript>" not in call.page


# In a browser ----------------------------------------------------------------------------------

needs_chromium = pytest.mark.skipif(CHROMIUM is None, reason="there is no Chromium here")


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with chromium() as started:
        yield started


@contextmanager
def _at_the_bench(yard: Standing, browser: Any) -> Iterator[tuple[Any, Any, str]]:
    """Hand out a browser at the bench, its page and the page's address."""
    with served(yard.house) as address:
        context = browser.new_context(viewport={"width": 768, "height": 1024})
        page = context.new_page()
        come_in(page, yard.house, address)
        page.goto(f"{address}/case/{CASE}/at/bench")
        yield context, page, f"{address}/case/{CASE}/at/bench"
        context.close()


def _press(page: Any, value: str = "dont-know") -> str:
    """Press an answer, wait until another question is put or none, and return what was asked."""
    asked = str(page.inner_text(".asked"))
    page.click(f"#question button[value={value}]")
    page.wait_for_function(
        "was => document.getElementById('asked')?.innerText !== was", arg=asked, timeout=10_000
    )
    return asked


def _waits(page: Any) -> list[str]:
    return [str(one) for one in page.locator("#waiting li").all_inner_texts()]


@needs_chromium
def test_two_answers_wait_outlive_a_reload_and_are_sent_once(yard: Standing, browser: Any) -> None:
    before, ahead = _answers(yard), _ahead(yard)
    with _at_the_bench(yard, browser) as (context, page, address):
        first = page.get_attribute("#question [name=check]", "value")
        assert page.locator("#waiting").is_hidden()
        context.set_offline(True)
        asked = [_press(page), _press(page, "cannot-check")]
        assert "The network is gone. These answers wait on this device" in page.inner_text(
            "#waiting"
        )
        assert [one.partition("?")[0] + "?" for one in _waits(page)] == asked
        assert page.evaluate("document.activeElement.id") == "asked"
        keep(page, "network-gone-768")
        assert _answers(yard) == before
        with suppress(Exception):  # nothing is there to be loaded
            page.reload()
        context.set_offline(False)
        page.goto(address)
        page.wait_for_function("() => !localStorage['headwater.waiting']?.includes('id')")
        page.wait_for_selector("#waiting", state="hidden")
        wanted = [(first, "dont-know"), (ahead[0], "cannot-check")]
        assert _answers(yard)[len(before) :] == wanted
        page.reload()
        page.wait_for_timeout(300)
        assert _answers(yard)[len(before) :] == wanted
        assert page.get_attribute("#question [name=check]", "value") not in dict(wanted)


@needs_chromium
def test_they_are_sent_by_themselves_when_the_network_is_back(yard: Standing, browser: Any) -> None:
    before = _answers(yard)
    with _at_the_bench(yard, browser) as (context, page, _):
        context.set_offline(True)
        _press(page)
        with page.expect_navigation():
            context.set_offline(False)
        page.wait_for_selector("#waiting", state="hidden")
        assert len(_answers(yard)) == len(before) + 1


@needs_chromium
def test_a_house_that_did_not_answer_is_sent_the_same_once_more(
    yard: Standing, browser: Any
) -> None:
    """The answer came, and what was to say so got lost: it is sent again and counts once."""
    before = _answers(yard)
    lost: list[int] = []

    def lose(route: Any) -> None:
        if lost:
            route.continue_()
            return
        lost.append(route.fetch(max_redirects=0).status)
        route.abort()

    with _at_the_bench(yard, browser) as (_, page, address):
        page.route("**/answer", lose)
        _press(page)
        assert lost == [204]
        assert len(_waits(page)) == 1
        page.goto(address)
        page.wait_for_selector("#waiting", state="hidden")
        page.wait_for_function("() => localStorage['headwater.waiting'] === '[]'")
        assert len(_answers(yard)) == len(before) + 1


@needs_chromium
def test_when_nothing_is_carried_any_more_it_says_so(yard: Standing, browser: Any) -> None:
    before, ahead = _answers(yard), _ahead(yard)
    with _at_the_bench(yard, browser) as (context, page, _):
        context.set_offline(True)
        for _ in range(len(ahead) + 1):
            _press(page)
        assert "nothing more can be asked until it is back" in page.inner_text("#waiting")
        assert page.locator("#question button").count() == 0
        page.click("text=Stop here")
        assert "this cannot wait: nothing was sent" in page.inner_text("#waiting")
        with page.expect_navigation():
            context.set_offline(False)
        page.wait_for_selector("#waiting", state="hidden")
        assert len(_answers(yard)) == len(before) + len(ahead) + 1


@needs_chromium
def test_what_waited_and_was_not_taken_is_said_with_its_reason(
    yard: Standing, browser: Any
) -> None:
    before = _answers(yard)
    with _at_the_bench(yard, browser) as (context, page, address):
        for _ in range(8):
            if page.locator("#question .reading").count():
                break
            _press(page)
        count = len(_answers(yard))
        context.set_offline(True)
        page.fill("#question input[name=reading]", "much")
        page.click("text=Take the reading")
        page.wait_for_selector("#waiting li")
        context.set_offline(False)
        page.wait_for_selector("#waiting li button")
        (told,) = _waits(page)
        assert "much" in told
        assert "write a number and its unit" in told
        keep(page, "network-not-taken-768")
        page.goto(address)
        page.click("text=I have seen it")
        assert page.locator("#waiting").is_hidden()
        assert len(_answers(yard)) == count > len(before) - 1


@needs_chromium
def test_with_the_network_a_wrong_reading_is_asked_back_as_ever(
    yard: Standing, browser: Any
) -> None:
    with _at_the_bench(yard, browser) as (_, page, _):
        for _ in range(8):
            if page.locator("#question .reading").count():
                break
            _press(page)
        page.fill("#question input[name=reading]", "much")
        with page.expect_navigation():
            page.click("text=Take the reading")
        assert "write a number and its unit" in page.inner_text("[role=alert]")
        assert page.input_value("#question input[name=reading]") == "much"
        assert _waits(page) == []


@needs_chromium
def test_an_answer_that_cannot_be_saved_now_waits_and_holds_up_no_other(
    yard: Standing, browser: Any
) -> None:
    """Another case is open at a terminal: its answer waits, with the reason, and is tried again."""
    before, other = _answers(yard), _answers(yard, "bore")
    with _at_the_bench(yard, browser) as (_, page, _):
        path = yard.house.shelf.place("bore")
        one = {"id": IDS[0], "who": "", "path": "/case/bore/at/bench/answer", "ask": "Rod?"}
        one |= {"said": "not known"}
        fields = [["check", "rod-mark"], ["seen", "0"], ["answer", "dont-know"]]
        with path.open(lambda _: None):
            page.evaluate(
                "one => localStorage['headwater.waiting'] = JSON.stringify([one])",
                {**one, "fields": fields},
            )
            _press(page)
            assert len(_answers(yard)) == len(before) + 1
            page.wait_for_selector("#waiting li button")
            assert "This could not be saved now." in page.inner_text("#waiting")
            assert "open in another session" in _waits(page)[0]
            assert page.locator("#question button").count()
        with page.expect_navigation(timeout=10_000):
            pass
        page.wait_for_selector("#waiting", state="hidden")
        assert _answers(yard, "bore") == [*other, ("rod-mark", "dont-know")]


@needs_chromium
def test_a_page_loaded_anew_says_at_once_that_an_answer_still_waits_to_be_saved(
    yard: Standing, browser: Any
) -> None:
    """The page has tried nothing yet: what was tried before is no answer that was turned away."""
    with _at_the_bench(yard, browser) as (_, page, _):
        page.route("**/answer", lambda _: None)
        one: Any = {
            "id": IDS[0],
            "who": "",
            "path": "/case/pads/at/bench/answer",
            "ask": "Rod?",
        }
        one |= {"said": "not known", "fields": [], "reason": "is open in another session"}
        page.evaluate("one => localStorage['headwater.waiting'] = JSON.stringify([one])", one)
        page.reload()
        page.wait_for_selector("#waiting li button")
        assert "This could not be saved now." in page.inner_text("#waiting")


@needs_chromium
def test_what_somebody_is_typing_is_not_swept_away(yard: Standing, browser: Any) -> None:
    before = _answers(yard)
    with _at_the_bench(yard, browser) as (context, page, _):
        context.set_offline(True)
        _press(page)
        page.fill("#more", "the front bore is bright")
        context.set_offline(False)
        page.wait_for_function("() => localStorage['headwater.waiting'] === '[]'")
        page.wait_for_timeout(300)
        assert page.input_value("#more") == "the front bore is bright"
        assert len(_answers(yard)) == len(before) + 1


@needs_chromium
def test_another_person_at_the_device_sends_nothing_of_the_first(
    yard: Standing, browser: Any
) -> None:
    before = _answers(yard)
    with _at_the_bench(yard, browser) as (context, page, address):
        context.set_offline(True)
        _press(page)
        page.evaluate(
            "localStorage['headwater.waiting'] = "
            'localStorage[\'headwater.waiting\'].replace(\'"who":""\', \'"who":"Ada"\')'
        )
        context.set_offline(False)
        page.goto(address)
        page.wait_for_timeout(500)
        assert _waits(page) == []
        assert _answers(yard) == before
        assert "Ada" in page.evaluate("localStorage['headwater.waiting']")


@needs_chromium
def test_whoever_is_out_is_told_and_sends_when_they_are_in_again(
    yard: Standing, browser: Any
) -> None:
    before = _answers(yard)
    with _at_the_bench(yard, browser) as (context, page, address):
        cookies = context.cookies()
        yard.house.visits.end(next(c["value"] for c in cookies if c["name"] == "headwater"))
        _press(page)
        assert "You are not signed in any more" in page.inner_text("#waiting")
        come_in(page, yard.house, address.partition("/case")[0])
        page.wait_for_function("() => localStorage['headwater.waiting'] === '[]'")
        assert len(_answers(yard)) == len(before) + 1


@needs_chromium
def test_the_page_without_network_is_sound_and_the_script_keeps_to_the_policy(
    yard: Standing, browser: Any
) -> None:
    from axe_playwright_python.sync_playwright import Axe

    wrong: list[str] = []
    with _at_the_bench(yard, browser) as (context, page, address):
        context.set_offline(True)
        watch(page, address.partition("/case")[0], wrong)
        _press(page)
        wrong[:] = [one for one in wrong if "ERR_INTERNET_DISCONNECTED" not in one]
        for theme in ("light", "dark"):
            page.emulate_media(color_scheme=theme)
            wrong += faults_of(Axe(), page, f"network gone, {theme}")
        for width in (320, 768, 1280):
            page.set_viewport_size({"width": width, "height": 900})
            over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
            wrong += [f"{over} too wide at {width}"] if over > 0 else []
            keep(page, f"network-gone-{width}")
    assert [one for one in wrong if "ERR_INTERNET_DISCONNECTED" not in one] == []


def test_a_form_of_the_script_needs_its_token_as_any_other(yard: Standing) -> None:
    bench = Sitter.at(yard, CASE, "bench")
    sent = {"csrf": "x", "check": bench.check, "seen": bench.seen, "answer": "free", "id": IDS[0]}
    assert token(bench.page) != "x"
    assert bench.client.post(f"{bench.path}/answer", data=sent).status_code == 403
