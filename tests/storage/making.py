"""Drafts, samples and logs for the tests of storage."""

import itertools
import sqlite3
from enum import StrEnum
from functools import cache
from pathlib import Path
from typing import Any, cast

from hypothesis import strategies as st

from commission.base.clock import ClockMark
from commission.base.quantity import Measured, Quantity
from commission.base.verdict import Outcome
from commission.record.entries import NoteAdded, Withdrawn
from commission.record.logged import Draft, Sample, Seal
from commission.record.machine.instrument import Instrument, InstrumentKind
from commission.record.payload import Payload
from commission.stages.pressure_hold.entries import Ending, HoldClosed, HoldPlan, HoldStarted, ReadingTaken
from commission.stages.pressure_hold.model import HoldVerdict
from commission.storage.store import SqliteLog
from tests.hints import fields_of, item_of, optional_of
from tests.registered import KINDS, open_log

MARK = ClockMark(wall_ms=1_790_000_000_000, offset_min=120, mono_ms=5_000, boot_ms=6_000, boot_id="start-1")

_numbers = itertools.count(1)

GAUGE = Instrument(
    instrument_id="g1",
    kind=InstrumentKind.GAUGE,
    name="bench gauge",
    unit="mbar",
    resolution=10.0,
    accuracy=50.0,
    low=0.0,
    high=100_000.0,
)
"""An invented gauge."""

PLAN = HoldPlan(
    limit_pa_m3_s=1e-3,
    hold_s=3600.0,
    settle_s=None,
    target_gauge_pa=50_000.0,
    every_s=300.0,
    gauge=GAUGE,
    thermometer=None,
    barometer=None,
    room_swing_k=1.0,
    volume_m3=1e-3,
    u_volume_m3=5e-5,
    volume_basis="typed",
)
"""A plan that fits the gauge."""

VERDICT = HoldVerdict(
    outcome=Outcome.INCONCLUSIVE,
    leak_rate=None,
    limit_pa_m3_s=1e-3,
    reference_k=293.15,
    start_gauge_pa=None,
    drop_pa=None,
    duration_s=0.0,
    settling_s=0.0,
    readings=0,
    smallest_detectable=None,
    hold_needed_s=None,
)
"""A verdict on nothing."""


def draft(payload: Payload | None = None, *, build: str = "b1", uid: str = "") -> Draft:
    """Return a draft with an id of its own."""
    number = next(_numbers)
    return Draft(
        uid=uid or f"uid-{number}",
        build=build,
        operator="Ida",
        mark=MARK,
        payload=NoteAdded(text=f"note {number}") if payload is None else payload,
    )


def reading(si: float = 50_000.0, typed: str = "0,5 bar") -> ReadingTaken:
    """Return one typed reading."""
    measured = Measured(quantity=Quantity.GAUGE_PRESSURE, si=si, typed=typed)
    return ReadingTaken(attempt=1, pressure=measured, air=None, barometer=None)


def stream(count: int, first: int = 0) -> list[Sample]:
    """Return samples one second apart, some of them without a barometer."""
    return [
        Sample(
            elapsed_s=float(n),
            wall_ms=1_790_000_000_000 + 1000 * n,
            pressure_pa=50_000.0 - n / 7,
            air_k=None if n % 3 else 294.25,
            barometer_pa=101_325.0,
            typed=f"{n};499,{n}",
        )
        for n in range(first, first + count)
    ]


def started(series: str = "s1") -> HoldStarted:
    """Return the start of a hold that streams into a series."""
    return HoldStarted(attempt=1, plan=PLAN, series=series)


def closed(seal: Seal) -> HoldClosed:
    """Return the end of that hold, sealing its samples."""
    return HoldClosed(
        attempt=1, ending=Ending.BY_HAND, verdict=VERDICT, program="0", samples=seal.count, digest=seal.digest
    )


def filled(path: Path, *, notes: int = 5, streamed: int = 40) -> SqliteLog:
    """Return an open log with notes, a closed hold with samples, and a withdrawn note."""
    log = open_log(path, holder="tests")
    for _ in range(notes):
        log.append(draft())
    log.append(draft(started()))
    if streamed:
        log.add_samples("s1", stream(streamed))
    log.append(draft(closed(log.seal("s1"))))
    log.append(draft(Withdrawn(target=1, reason="typed twice")))
    return log


def raw(path: Path) -> sqlite3.Connection:
    """Return a plain connection, as any other program would open the file."""
    return sqlite3.connect(path, isolation_level=None)


def without_guards(path: Path) -> sqlite3.Connection:
    """Return a plain connection to a file whose guards were dropped."""
    connection = raw(path)
    for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        connection.execute(f"DROP TRIGGER {name}")
    return connection


# Strategies

TEXT = st.text(alphabet=st.characters(exclude_categories=["Cs"]), max_size=20)
"""Any text that can be stored."""

_PLAIN: dict[object, st.SearchStrategy[Any]] = {
    str: TEXT,
    int: st.integers(-(2**53) + 1, 2**53 - 1),
    float: st.floats(allow_nan=False, allow_infinity=False),
    bool: st.booleans(),
}


@cache
def strategy_of(hint: Any) -> st.SearchStrategy[Any]:
    """Return values of a type hint that the codec knows."""
    if hint in _PLAIN:
        return _PLAIN[hint]
    if (inner := optional_of(hint)) is not None:
        return st.none() | strategy_of(inner)
    if (item := item_of(hint)) is not None:
        return st.lists(strategy_of(item), max_size=3).map(tuple)
    if issubclass(hint, StrEnum):
        return st.sampled_from(list(hint))
    return st.builds(hint, **{name: strategy_of(inner) for name, inner, _ in fields_of(hint)})


def plainest(hint: Any) -> Any:
    """Return one value of a type hint that the codec knows, as short as it can be, and the same each time."""
    if hint in _PLAIN:
        return {str: "x", int: 1, float: 0.5, bool: False}[hint]
    if optional_of(hint) is not None:
        return None
    if item_of(hint) is not None:
        return ()
    if issubclass(hint, StrEnum):
        return next(iter(hint))
    return hint(**{name: plainest(inner) for name, inner, optional in fields_of(hint) if not optional})


PAYLOADS: st.SearchStrategy[Payload] = st.one_of([strategy_of(cast(Any, cls)) for cls in KINDS.values()])
"""Payloads of every kind."""

MARKS: st.SearchStrategy[ClockMark] = strategy_of(ClockMark)
"""Any clocks."""
