"""A million cases in PostgreSQL: look-ups with their plans, and the figures, each timed.

`python tests/ledger/million.py` starts a server of its own, draws the cases in it and prints a
table; `--cases 100000` for a shorter go. It needs root and Debian's postgresql, as the tests do.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from sqlalchemy import event

from headwater.ledger.door import Ledger, make_ledger
from headwater.ledger.look import find_cases, list_cases, show_case
from headwater.ledger.returns import returns_report
from headwater.ledger.trends import TrendsAsked, trends_report
from ledger.ledgers import fresh_data_base, server, why_no_server

FILL = (
    "INSERT INTO units (id, key, number) SELECT n, 'u' || n, 'U-' || n"
    " FROM generate_series(1, {units}) n",
    "INSERT INTO cases (id, name, edition, head, complaint, findings, state, waits_for, unit,"
    " distance_km, came_on, out_on, out_km, source, ending, family, opened, changed)"
    " SELECT n, 'C-' || n, 1, 'case: C-' || n || E'\\nfindings:\\n', 'it howls', 1, 'done', '',"
    " 1 + n % {units}, 20000 + n % 200000, d::text, (d + 4)::text, 20000 + n % 200000, 'case',"
    " 'settled', CASE n % 2 WHEN 0 THEN 'drive=chain' ELSE 'drive=gear' END,"
    " d || 'T08:00:00Z', d || 'T09:00:00Z'"
    " FROM (SELECT n, date '2026-01-01' + (n % 1500 * 7919) % 1500 AS d"
    " FROM generate_series(1, {cases}) n) x",
    "UPDATE cases SET earlier = id - 1, since_days = 1 + id % 700, same = id % 3 = 0,"
    " since_km = 40 * (1 + id % 700) WHERE id % 11 = 0",
    'INSERT INTO sightings ("case", "on", km, gone) SELECT id, (out_on::date + id % 400)::text,'
    " CASE WHEN id % 3 > 0 THEN out_km + 37 * (id % 400) END,"
    " CASE id % 7 WHEN 0 THEN 'sold' ELSE '' END FROM cases WHERE id % 20 = 1",
    "INSERT INTO findings SELECT n, 1, E'  - {{told: \"it howls\"}}\\n',"
    " '2026-01-01T08:00:00Z', '', ''"
    " FROM generate_series(1, {cases}) n",
    "INSERT INTO origins SELECT n, (ARRAY['bore-worn', 'oil-wrong', 'linkage-misset'])[1 + n % 3],"
    " 'proven', 0.97, n % 5 > 0 FROM generate_series(1, {cases}) n WHERE n % 10 < 7",
    "INSERT INTO damages SELECT n, 'worn', (ARRAY['range-fork', 'chain'])[1 + n % 2]"
    " FROM generate_series(1, {cases}) n",
    "INSERT INTO words SELECT w, n FROM generate_series(1, {cases}) n,"
    " LATERAL (VALUES ('howls'), ('c' || n), ('u' || (1 + n % {units}))) AS v(w)",
    "ANALYZE",
)


def fill(ledger: Ledger, number: int) -> None:
    """Draw so many cases in the data base itself."""
    for statement in FILL:
        with ledger.writing() as connection:
            whole = statement.format(cases=number, units=number // 3 + 1)
            connection.exec_driver_sql(whole.replace("%", "%%"))


@contextmanager
def statements(ledger: Ledger) -> Iterator[list[tuple[str, object]]]:
    """Collect what is asked of the data base meanwhile."""
    seen: list[tuple[str, object]] = []

    def take(_c: object, _k: object, text: str, values: object, _x: object, _m: bool) -> None:
        seen.append((text, values))

    event.listen(ledger.engine, "before_cursor_execute", take)
    try:
        yield seen
    finally:
        event.remove(ledger.engine, "before_cursor_execute", take)


def plans(ledger: Ledger, ask: Callable[[], object]) -> Iterator[str]:
    """Yield how the data base goes about what is asked, a line for each scan."""
    with statements(ledger) as seen:
        ask()
    with ledger.reading() as connection:
        for text, values in seen:
            if not text.lstrip().upper().startswith("SELECT"):
                continue
            rows = connection.exec_driver_sql(f"EXPLAIN {text}", values)  # type: ignore[arg-type]
            yield from (str(row[0]).strip() for row in rows if "Scan" in str(row[0]))


def main() -> None:
    """Fill a ledger and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=1_000_000)
    number: int = parser.parse_args().cases
    if why := why_no_server():
        raise SystemExit(why)
    with server() as folder:
        ledger = make_ledger(fresh_data_base(folder), {})
        begun = time.perf_counter()
        fill(ledger, number)
        print(f"{number} cases drawn in {time.perf_counter() - begun:.0f} s", flush=True)
        looked: dict[str, Callable[[], object]] = {
            "find by a name": lambda: find_cases(ledger, "C-4711"),
            "find by a unit": lambda: find_cases(ledger, "U-17"),
            "find by a common word": lambda: find_cases(ledger, "howls"),
            "show": lambda: show_case(ledger, "C-4711"),
            "list": lambda: list_cases(ledger, [], 50),
        }
        for name, ask in looked.items():
            print(f"{name}: {timed(ask)}", flush=True)
            for line in plans(ledger, ask):
                print(f"    {line}")
        print(f"trends by season: {timed(lambda: trends_report(ledger, TrendsAsked('season')))}")
        print(f"returns: {timed(lambda: returns_report(ledger))}", flush=True)
        ledger.close()


def timed(ask: Callable[[], object]) -> str:
    """Return how long something takes, by the clock and in CPU seconds of this process."""
    begun, busy = time.perf_counter(), time.process_time()
    ask()
    return f"{time.perf_counter() - begun:.3f} s, {time.process_time() - busy:.3f} s of CPU here"


if __name__ == "__main__":
    main()
