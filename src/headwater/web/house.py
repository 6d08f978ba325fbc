"""The house: the open book, the cases and their sessions, shared by every page.

A session is kept between two requests, so that an answer costs no more than at a terminal, but no
file stays open: each request reads the case, and whatever another one or a terminal has written in
between makes it begin with a new session. One request at a time works on a case.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from headwater.book.tables import Seat
from headwater.case.model import Case
from headwater.case.photograph import upright_jpeg
from headwater.case.picture import name_of_picture
from headwater.case.read import CaseError
from headwater.case.store import case_data, new_case_text, unsaid
from headwater.caseplace import CasePlace
from headwater.caseshelf import CaseShelf
from headwater.drill.classhour import ClassRoom
from headwater.render.site import link_of
from headwater.session.atseat import AtSeat
from headwater.session.letterhead import Letterhead
from headwater.session.openbook import OpenBook
from headwater.session.pricelist import Known, PriceLists
from headwater.session.session import Session, open_session
from headwater.web.people import People, Tries
from headwater.web.visits import Visit, Visits

MOST_KEPT = 64
"""Sessions that are kept, the latest ones: each holds some megabytes."""
MOST_SEATED = 256
"""Places of people at seats that are kept; each is small, and lost without harm."""
MOST_A_DAY = 1_000
"""Cases of one day that are named by it."""


@dataclass(frozen=True, slots=True)
class NewCase:
    """A case to be made: its first words, what is off (None: it depends), whose it is."""

    words: str = ""
    name: str = ""
    removed: tuple[str, ...] | None = None
    about: Mapping[str, str] = field(default_factory=dict)


@dataclass(slots=True)
class House:
    """What every page works on. `now` gives the time as a case file has it.

    `fault` takes an error that nobody foresaw; it is never shown on a page. `entered` is told when
    the one-time link was used. `secure` says that the pages go over TLS. `prices` are the price
    lists, looked at anew each time; `letterhead` is what its papers bear. `address` is where other
    devices reach the house, if they do; then it has `people`, whose wrong passwords `tries` counts.
    `room` has its lessons.
    """

    book: OpenBook
    shelf: CaseShelf
    visits: Visits
    now: Callable[[], str]
    fault: Callable[[Exception], None]
    entered: Callable[[], None] = lambda: None
    secure: bool = False
    prices: Path | None = None
    letterhead: Letterhead | None = None
    address: str = ""
    people: People | None = None
    tries: Tries | None = None
    _seated: OrderedDict[tuple[str, str, Seat], AtSeat] = field(default_factory=OrderedDict)
    room: ClassRoom = field(default_factory=ClassRoom)
    _lists: Known = field(default_factory=dict)
    _kept: OrderedDict[tuple[str, Seat | None], Session] = field(default_factory=OrderedDict)
    _locks: dict[str, threading.RLock] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)
    _darkroom: threading.Lock = field(default_factory=threading.Lock)

    def today(self) -> date:
        """Return the day by the clock of the house."""
        return date.fromisoformat(self.now()[:10])

    @property
    def price_lists(self) -> PriceLists:
        """The price lists of the shop."""
        return PriceLists(self.prices, self.book.book, self._lists)

    def visit_of(self, cookie: str) -> Visit | None:
        """Return the visit of a cookie; one ends with the role or the password of its person."""
        visit = self.visits.of(cookie) if cookie else None
        if visit and self.people and visit.seal != (self.people.seal_of(visit.who) or None):
            self.visits.end(cookie)
            return None
        return visit

    @contextmanager
    def reading(self, name: str, seat: Seat | None = None) -> Iterator[Session]:
        """Hand out a session over a case as it stands now, at its own seat or another."""
        place = self.shelf.place(name)
        with self._locked(name):
            yield self._session(name, seat, place.read(unsaid))

    @contextmanager
    def writing(self, name: str, seat: Seat | None = None, who: str = "") -> Iterator[Session]:
        """Hand out a session whose every answer is on disk before it is believed.

        `who` stands in the ledger's log; without it whoever runs the house does.

        Raises CaseError where another program has the case open.
        """
        place = self.shelf.place(name, who)
        with self._locked(name), place.open(unsaid) as store:
            session = self._session(name, seat, store.case())
            session.writer = store
            try:
                yield session
            except BaseException:
                self._forget(name)
                raise
            finally:
                session.writer = None

    def keep_picture(self, name: str, sent: bytes) -> str:
        """Put a picture into shape, keep it with a case, and return its name there.

        One at a time: each takes some hundred megabytes while it is read.
        Raises PictureError where it is none.
        """
        place = self.shelf.place(name)
        with self._darkroom:
            data = upright_jpeg(sent)
        picture = name_of_picture(data)
        place.keep_picture(picture, data)
        return picture

    @contextmanager
    def seated(
        self, name: str, seat: Seat, visit: Visit, *, sends: bool = False
    ) -> Iterator[AtSeat]:
        """Hand out where a visitor is at a seat of a case; what they `send` is written."""
        opened = self.writing(name, seat, visit.who) if sends else self.reading(name, seat)
        with opened as session:
            key = (visit.csrf, name, seat)
            with self._lock:
                at = self._seated.pop(key, None) or AtSeat(session, self.visits.seconds)
                self._seated[key] = at
                while len(self._seated) > MOST_SEATED:
                    self._seated.popitem(last=False)
                others = [one for k, one in self._seated.items() if k[1] == name and one is not at]
            at.hands = {place: one.who for one in others for place in one.own}
            at.resume(session, visit.who, sends=sends)
            if sends:
                with at.at_work():
                    yield at
            else:
                yield at

    def begin(self, told: NewCase, seat: Seat, who: str = "") -> str:
        """Make a new case and return its name; where none is given, one of the day."""
        with self._lock:
            place = self._new_place(told.name, who)
            text = new_case_text(
                place.stem, self.book.book, {}, seat, told.words, told.removed, told.about
            )
            with place.create(text, unsaid):
                pass
        return place.stem

    def _new_place(self, name: str, who: str) -> CasePlace:
        if name:
            return self.shelf.new_place(name, who)
        day = self.now()[:10]
        for number in range(1, MOST_A_DAY):
            with suppress(CaseError):
                return self.shelf.new_place(f"{day}-{number}", who)
        return self.shelf.new_place(f"{day}-{MOST_A_DAY}", who)

    def address_of(self, name: str) -> str:
        """Return the address of a case's page for other devices; nothing where they reach none."""
        return f"{self.address}/case/{link_of(name)}" if self.address else ""

    def _session(self, name: str, seat: Seat | None, case: Case) -> Session:
        with self._lock:
            kept = self._kept.get((name, seat))
        if kept is None or case_data(kept.case) != case_data(case):
            kept = open_session(self.book, case, seat, None, self.now)
        with self._lock:
            self._kept[name, seat] = kept
            self._kept.move_to_end((name, seat))
            while len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)
        return kept

    def _forget(self, name: str) -> None:
        with self._lock:
            for key in [key for key in self._kept if key[0] == name]:
                del self._kept[key]

    def _locked(self, name: str) -> threading.RLock:
        with self._lock:
            return self._locks.setdefault(name, threading.RLock())
