"""Voltages and cables of the attempts at the first power-on whose own figures stand nowhere else."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.stages.first_power.entries import CableTested, PowerTestAborted, RailsRead
from commission.stages.first_power.rows.cables import cable_row
from commission.stages.first_power.rows.rails import power_good_row, rail_row

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from commission.bench.card import Figure
    from commission.record.logged import Logged


def earlier_figures(entries: Iterable[Logged], gone: frozenset[int], attempt: int) -> Iterator[Figure]:
    """Yield the cables and voltages of an attempt, as they were read last in it.

    Parameters
    ----------
    entries
        Those of the build, in order.
    gone
        Numbers of the entries that were withdrawn.
    attempt
        Which attempt.
    """
    cables: dict[str, CableTested] = {}
    rails: RailsRead | None = None
    for entry in entries:
        match entry.payload:
            case _ if entry.seq in gone:
                pass
            case CableTested(attempt=at, test=test) as tested if at == attempt:
                cables[test.cable.name] = tested
            case RailsRead(attempt=at) as read if at == attempt:
                rails = read
            case PowerTestAborted(attempt=at, cable=name) if at == attempt and name:
                cables.pop(name, None)
            case PowerTestAborted(attempt=at) if at == attempt:
                rails = None
            case _:
                pass
    yield from (cable_row(name, tested) for name, tested in cables.items())
    if rails is not None:
        yield from map(rail_row, rails.verdict.rows)
        if rails.power_good is not None:
            yield power_good_row(rails.power_good)
