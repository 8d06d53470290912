"""Which chain goes on which header, as plain data for programs: one JSON object on one line."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.stages.fan_headers.model.layout import Change, Rule

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.base.quantity import Phrase
    from commission.stages.fan_headers.model.layout import Layout, LayoutAnswer


class Status(StrEnum):
    """Whether everything can be plugged in."""

    OPTIMAL = "optimal"
    INFEASIBLE = "infeasible"


class HeaderLoad(Frozen):
    """What sits on a header and draws from it."""

    chains: tuple[str, ...]
    """Chains on it, by name."""
    steady_ma: int
    """Their currents at full speed [mA]."""
    start_ma: int
    """Their currents when all start together [mA]."""
    rating_ma: int
    """The header's rating [mA]."""


class OneLayout(Frozen):
    """One way to plug everything in."""

    cost: int
    """Cable and penalties [cm]."""
    assignment: dict[str, str]
    """The header of each chain."""
    loads: dict[str, HeaderLoad]
    """What each used header carries."""


class ImpossibleSeat(Frozen):
    """A chain that cannot sit on a header even with nothing else on it."""

    chain: str
    """The chain."""
    header: str
    """The header."""
    rule: Rule
    """The rule that forbids it; where several do, the gravest."""
    why: str
    """The rule with its figures."""


class WayOut(Frozen):
    """Something that would make a layout possible."""

    changes: tuple[Change, ...]
    """What changes."""
    header: str | None
    """At which header; null where chains are fed from elsewhere."""
    chains: tuple[str, ...]
    """Chains that would sit there, or be fed from elsewhere."""
    rating_ma: int | None
    """Rating that would be needed [mA]; null where the rating is enough."""
    what: str
    """The same as a sentence."""


class LayoutTold(Frozen):
    """The best way to plug everything in, or why there is none."""

    status: Status
    """Whether there is a layout."""
    cost: int | None
    """Least cost: cable and penalties [cm]; null where nothing is possible."""
    assignment: dict[str, str] | None
    """The header of each chain in the preferred layout of least cost; null where nothing is possible."""
    loads: dict[str, HeaderLoad] | None
    """What each used header carries in it; null where nothing is possible."""
    runner_up: OneLayout | None
    """The best layout of the next cost; null where there is none."""
    refusals: tuple[ImpossibleSeat, ...]
    """Seats that are impossible, each with its rule."""
    optima: tuple[OneLayout, ...]
    """Every layout of least cost, the preferred first; at most some dozens of them."""
    optima_count: int
    """How many layouts have the least cost."""
    relaxation: tuple[WayOut, ...]
    """Where nothing is possible: what would make it possible, the smallest first."""
    remarks: tuple[str, ...]
    """What the numbers do not say."""


def layout_told(answer: LayoutAnswer, said: Callable[[Phrase], str]) -> LayoutTold:
    """Return an answer as plain data.

    Parameters
    ----------
    said
        Returns a phrase as a sentence.
    """
    best = None if answer.best is None else one_layout(answer.best)
    return LayoutTold(
        status=Status(answer.status),
        cost=None if best is None else best.cost,
        assignment=None if best is None else best.assignment,
        loads=None if best is None else best.loads,
        runner_up=None if answer.runner_up is None else one_layout(answer.runner_up),
        refusals=tuple(
            ImpossibleSeat(chain=each.chain, header=each.header, rule=each.rule, why=said(each.why))
            for each in answer.refusals
        ),
        optima=tuple(map(one_layout, answer.optima)),
        optima_count=answer.optima_count,
        relaxation=tuple(
            WayOut(
                changes=each.changes,
                header=each.header or None,
                chains=each.chains,
                rating_ma=each.rating_ma,
                what=said(each.what),
            )
            for each in answer.relaxations
        ),
        remarks=tuple(map(said, answer.notes)),
    )


def one_layout(layout: Layout) -> OneLayout:
    """Return one layout as plain data."""
    return OneLayout(
        cost=layout.cost,
        assignment={seat.chain: seat.header for seat in layout.seats},
        loads={
            load.header: HeaderLoad(
                chains=load.chains, steady_ma=load.steady_ma, start_ma=load.start_ma, rating_ma=load.rating_ma
            )
            for load in layout.loads
        },
    )
