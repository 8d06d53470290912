"""The best assignment of chains to headers, with every equal one, the runner-up, and why a seat is impossible."""

from __future__ import annotations

from heapq import nsmallest
from typing import TYPE_CHECKING

from commission.base.quantity import Phrase
from commission.physics.pwm_fan import SINK_A, fans_on_one_signal
from commission.record.machine.seats import Drive
from commission.stages.fan_headers.judge.layout_relax import relaxations_of
from commission.stages.fan_headers.judge.layout_rules import table_of
from commission.stages.fan_headers.judge.layout_search import search
from commission.stages.fan_headers.model.layout import Layout, LayoutAnswer, Load, Seat, complaints

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.stages.fan_headers.judge.layout_rules import Table
    from commission.stages.fan_headers.judge.layout_search import Placing
    from commission.stages.fan_headers.model.layout import LayoutProblem

MOST_LISTED = 24
"""Layouts of equal cost that are listed [1]; our choice: more fill the screen and tell nothing new."""


def best_layout(problem: LayoutProblem) -> LayoutAnswer:
    """Return the cheapest way to plug every chain in; where none is possible, the least change that would help.

    Exact. Among layouts of equal cost the one with the fewest shared headers comes first, then the one with the
    largest of the smallest margins to a budget, then the order of header names. The order of the question plays no
    role. Up to 12 chains.

    Raises
    ------
    ValueError
        If the question is wrong: names that repeat, currents out of range, too many chains.

    Examples
    --------
    >>> from commission.record.machine.seats import Reach
    >>> from commission.stages.fan_headers.model.layout import LayoutChain, LayoutHeader, LayoutProblem
    >>> def fans(name, *cable):
    ...     reach = tuple(Reach(header=h, cable_cm=c) for h, c in zip("XY", cable))
    ...     return LayoutChain(name=name, drive=Drive.PWM, steady_ma=500, start_ma=600, reach=reach)
    >>> headers = tuple(LayoutHeader(name=n, rating_ma=1000, modes=(Drive.PWM,)) for n in "XY")
    >>> answer = best_layout(LayoutProblem(headers=headers, chains=(fans("front", 10, 30), fans("rear", 15, 20))))
    >>> answer.status, answer.best.cost, [(seat.chain, seat.header) for seat in answer.best.seats]
    ('optimal', 30, [('front', 'X'), ('rear', 'Y')])
    >>> answer.runner_up.cost
    45
    """
    wrong = complaints(problem)
    if wrong:
        raise ValueError("; ".join(wrong))
    table = table_of(problem)
    found = search(table)
    refusals = tuple(table.refusals[pair] for pair in sorted(table.refusals))
    if found.least is None:
        return LayoutAnswer(
            optima=(),
            optima_count=0,
            runner_up=None,
            refusals=refusals,
            relaxations=relaxations_of(table, found.groups),
            notes=_notes(table, None),
        )
    optima = _preferred(table, found.at_cost(found.least), found.least, MOST_LISTED)
    following = () if found.next_cost is None else _preferred(table, found.at_cost(found.next_cost), found.next_cost, 1)
    return LayoutAnswer(
        optima=optima,
        optima_count=found.ways,
        runner_up=following[0] if following else None,
        refusals=refusals,
        relaxations=(),
        notes=_notes(table, optima[0]),
    )


def _preferred(table: Table, placings: Iterable[Placing], cost: int, most: int) -> tuple[Layout, ...]:
    first = nsmallest(most, placings, key=lambda placing: _preference(table, placing))
    return tuple(_layout(table, placing, cost) for placing in first)


def _preference(table: Table, placing: Placing) -> tuple[object, ...]:
    shared = sum(group.bit_count() > 1 for group in placing)
    percent = table.problem.steady_percent
    margins = (
        percent * header.rating_ma - 100 * table.steady[group]
        for header, group in zip(table.headers, placing, strict=True)
        if group
    )
    seats = [next(j for j, group in enumerate(placing) if group >> i & 1) for i in range(len(table.chains))]
    return shared, -min(margins), seats


def _layout(table: Table, placing: Placing, cost: int) -> Layout:
    used = [(header, group) for header, group in zip(table.headers, placing, strict=True) if group]
    seats = [Seat(chain=name, header=header.name) for header, group in used for name in table.names(group)]
    return Layout(
        cost=cost,
        seats=tuple(sorted(seats, key=lambda seat: seat.chain)),
        loads=tuple(
            Load(
                header=header.name,
                chains=table.names(group),
                steady_ma=table.steady[group],
                start_ma=table.start[group],
                rating_ma=header.rating_ma,
            )
            for header, group in used
        ),
    )


def _notes(table: Table, best: Layout | None) -> tuple[Phrase, ...]:
    notes = []
    guessed = [chain.name for chain in table.chains if chain.start_ma is None]
    if guessed:
        factor = f"{table.problem.start_factor:.1f}"
        said = f"No label gives the start current of {', '.join(guessed)}: default {factor} x steady was taken."
        notes.append(Phrase("start_by_default", said))
    if best is not None:
        notes += [note for load in best.loads for note in _about_sharing(table, load)]
    return tuple(notes)


def _about_sharing(table: Table, load: Load) -> list[Phrase]:
    on_it = [chain for chain in table.chains if chain.name in load.chains]
    devices = sum(chain.fans for chain in on_it)
    if devices < 2:
        return []
    notes = [
        Phrase(
            "one_tach",
            f"{load.header} has one tach input for {devices} devices: leave pin 3 on one branch only; the others need "
            "a look.",
        )
    ]
    if on_it[0].drive is Drive.PWM and devices > fans_on_one_signal(SINK_A[1]):
        notes.append(
            Phrase(
                "signal_fan_out",
                (
                    f"{load.header} drives {devices} PWM inputs; the 4-wire standard promises one (5 "
                    "mA each). Typical fans take a tenth. Sweep to see if all follow."
                ),
            )
        )
    return notes
