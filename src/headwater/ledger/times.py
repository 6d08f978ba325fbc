"""Times: kept in UTC to the second, shown in the zone of the shop."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, tzinfo
from zoneinfo import ZoneInfo

from headwater.ledger.records import LedgerError

Clock = Callable[[], datetime]


def utc_now() -> datetime:
    """Return the time."""
    return datetime.now(UTC)


def kept_time(when: datetime) -> str:
    """Return a time as it is kept: text that sorts as time does.

    >>> kept_time(datetime(2026, 3, 2, 9, 10, tzinfo=UTC))
    '2026-03-02T09:10:00Z'
    """
    return when.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def zone_named(name: str) -> tzinfo | None:
    """Return a zone by its name in the tz data base; None for that of this machine.

    Raises LedgerError where there is none of that name.
    """
    if not name:
        return None
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        mend = "write a name of the tz data base, such as Etc/UTC"
        raise LedgerError(f"there is no time zone '{name}'; {mend}") from None


def shown_time(kept: str, zone: tzinfo | None) -> str:
    """Return a kept time as the shop reads it.

    >>> shown_time("2026-03-02T09:10:00Z", UTC)
    '2026-03-02 09:10'
    """
    if not kept:
        return ""
    when = datetime.strptime(kept, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=UTC)
    return when.astimezone(zone).strftime("%Y-%m-%d %H:%M")


def read_day(text: str, what: str) -> str:
    """Return a day as it is kept, `2026-03-02`. Raises LedgerError."""
    try:
        return date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        text = f"{what}: '{text}' is no day; write year, month and day, such as 2026-03-02"
        raise LedgerError(text) from None


def day_of(kept: str, zone: tzinfo | None) -> str:
    """Return the day in the shop's zone on which a kept time falls."""
    return shown_time(kept, zone)[:10]
