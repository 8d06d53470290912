"""A plan of a hold that is made at once: from the parts, the instruments and a few typed lines."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.bench.ask import command
from commission.stages.pressure_hold.card.plan import WORDS, changed, first_plan, word_of
from commission.stages.pressure_hold.typed.volume import typed_volume
from commission.stages.pressure_hold.work.holds import Holds
from commission.stages.pressure_hold.work.plans import proposed_plan
from commission.units.worded import worded

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.record.machine.loop import LoopVolume
    from commission.stages.pressure_hold.entries import HoldPlan


def whole_plan(book: Logbook, state: BuildState, last: HoldPlan | None, lines: Sequence[str]) -> HoldPlan:
    """Return the plan that the last one, or the usual figures, and typed lines make; limit and time are proposed.

    Parameters
    ----------
    last
        The plan to start from; None for the usual figures.
    lines
        What is different, each such as ``limit strict`` or ``pressure 0.4 bar``.

    Raises
    ------
    InputError
        If a line cannot be understood, or volume, gauge or its face are not known.
    """
    holds, shop = book.work(Holds), book.shop()
    stage = holds.stage(state)
    plan = first_plan(stage, shop, _loop(state, last, lines), last)
    if plan is None:
        raise InputError('no gauge is described yet; "commission instrument" describes one')
    for line in lines:
        plan = changed(plan, line, stage, shop, state.tested_volume)
    if not plan.gauge.face_asked:
        name = plan.gauge.name
        raise InputError(
            f'has {name} digits or a needle? say it by "commission instrument NAME --edit --face digital", or dial; '
            f'then plan with the line "gauge {name}"'
        )
    if last is not None:
        return plan
    typed = {word_of(line) for line in lines}
    if "limit" not in typed:
        return proposed_plan(book.procedure(state), plan, timed="time" in typed)
    return plan if "time" in typed else holds.deciding(state, plan)


def _loop(state: BuildState, last: HoldPlan | None, lines: Sequence[str]) -> LoopVolume:
    """Return the volume to start from: of the parts or measured, as typed, or as planned last."""
    if state.tested_volume is not None:
        return state.tested_volume
    for line in lines:
        word, rest = command(line, WORDS)
        if word == "volume":
            return typed_volume(rest)
    if last is not None:
        return last.volume
    raise InputError(
        worded("how large is the loop? write its parts down, or add a line such as: volume 1.2 L data sheets")
    )
