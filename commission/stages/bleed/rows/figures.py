"""A bleed in figures and words, the same on its card and in `show`, while it goes on and after."""

from commission.base.text import counted
from commission.bench.card import Figure, raw
from commission.bench.figures import duration, forecast, millilitres, millilitres_between, volume
from commission.record.build_state import BuildState
from commission.stages.bleed.model import (
    AirTail,
    BleedCycle,
    BleedPicture,
    BleedRule,
    BleedVerdict,
    SqueezeResult,
    TailState,
)
from commission.stages.bleed.state import BleedState
from commission.stages.bleed.typed.cycle import defaults_told
from commission.units.show import say

AIR_LEFT = "air left"
"""Label of the air that is still to come out."""

_ALREADY_A_FIGURE = ("air_still_to_come", "dissolved_air_to_come", "too_few_to_foresee")
"""Reasons that only repeat figures."""


def figures_of(verdict: BleedVerdict) -> tuple[Figure, ...]:
    """Return the figures of a bleed, the most important first."""
    rule = verdict.rule
    rows = [
        Figure(
            label="air out",
            value=millilitres(verdict.came_out_m3),
            bounds=f"in {counted(verdict.cycles, 'cycle')}",
            raw=raw("m3", verdict.came_out_m3),
        ),
        tail_row(verdict.tail),
        Figure(
            label="clean cycles",
            value=f"{verdict.kept} in a row",
            bounds=f"over {duration(verdict.covered_s)}; needed: {rule.last_cycles} over {duration(rule.span_s)}",
            remark=f"each at most {volume(rule.top_up_m3)}, quiet, no bubbles",
        ),
    ]
    if verdict.first_warming_m3 is not None:
        rows.append(
            Figure(
                label="first warm-up",
                value=millilitres(verdict.first_warming_m3),
                bounds="more air at most",
                remark="no leak and no bad bleed: top up after it",
                raw=raw("m3", verdict.first_warming_m3),
            )
        )
    return tuple(rows)


def tail_row(tail: AirTail) -> Figure:
    """Return the air that is left, if the cycles go on as they did; else why nothing can be said of it."""
    if tail.state is not TailState.CONVERGING or tail.best_m3 is None or tail.low_m3 is None or tail.high_m3 is None:
        few = tail.state is TailState.TOO_FEW
        return Figure(
            label=AIR_LEFT, value="not known" if few else str(tail.state), bounds="too few cycles" if few else ""
        )
    return Figure(
        label=AIR_LEFT,
        value=millilitres(tail.best_m3, tail.low_m3, tail.high_m3),
        bounds=millilitres_between(tail.low_m3, tail.high_m3, tail.best_m3),
        remark=f"from {counted(tail.used, 'cycle')}",
        raw=raw("m3", tail.best_m3, tail.low_m3, tail.high_m3),
    )


def missing_of(verdict: BleedVerdict) -> str:
    """Return what is still missing for a pass; empty where nothing is."""
    rule = verdict.rule
    parts = []
    if verdict.kept < rule.last_cycles:
        left = rule.last_cycles - verdict.kept
        parts.append(counted(left, "more clean cycle"))
    if verdict.covered_s < rule.span_s:
        parts.append(f"{forecast(rule.span_s - verdict.covered_s)} more of clean cycles")
    if verdict.tail.state is TailState.NOT_CONVERGING:
        parts.append("top-ups that shrink")
    return ", ".join(parts)


def reasons_of(verdict: BleedVerdict, *, short: bool = False) -> tuple[str, ...]:
    """Return the reasons in plain words, the one that decided first; in short without those that repeat figures."""
    first, *rest = verdict.reasons
    return (say(first), *(say(phrase) for phrase in rest if not short or phrase.code not in _ALREADY_A_FIGURE))


def cycle_amount(cycle: BleedCycle) -> str:
    """Return what left the level in a cycle."""
    return millilitres(cycle.gone_m3)


CYCLES_SHOWN = 3
"""Cycles that a card lists; our choice: the tail shows in three."""


def cycle_rows(state: BuildState) -> tuple[str, ...]:
    """Return the last cycles, one a line, the newest first."""
    total = len(state.of(BleedState).cycles)
    rows = [
        f"cycle {number}: {cycle_amount(timed.cycle)} · {defaults_told(timed.cycle)}"
        for number, timed in enumerate(state.of(BleedState).cycles, 1)
    ]
    older = (f"and {total - CYCLES_SHOWN} before",) if total > CYCLES_SHOWN else ()
    return (*reversed(rows[-CYCLES_SHOWN:]), *older)


def squeeze_rows(results: tuple[SqueezeResult, ...]) -> tuple[str, ...]:
    """Return what the last squeeze told, labelled as what it is."""
    if not results:
        return ()
    said = " ".join(say(phrase) for phrase in results[-1].reasons)
    return (f"For information, squeezed: {said}",)


def picture_said(picture: BleedPicture, rule: BleedRule) -> str:
    """Return in one line what the last cycle took, where the fitted tail leads, and before which it was tilted."""
    last, limit = millilitres(picture.gone_m3[-1]), volume(rule.top_up_m3)
    said = [f"cycle {picture.number[-1]}: {last}, limit {limit}"]
    if picture.tail_number:
        ahead = millilitres(picture.tail_m3[-1])
        said.append(f"tail {ahead} by cycle {picture.tail_number[-1]:.0f}")
    tilted = [number for number, new in zip(picture.number, picture.new_series, strict=True) if new]
    if tilted:
        said.append(f"tilted before cycle {', '.join(map(str, tilted))}")
    return ", ".join(said)
