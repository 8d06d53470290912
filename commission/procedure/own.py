"""Tells a procedure that somebody changed from the one that ships and from those that shipped before it."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from commission.base.text import counted

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.procedure.model import Procedure, Stage

EARLIER = {("pressure_hold", "leak_rate_pa_m3_s"): (1e-3, 1e-7, 0.1)}
"""Value, least and most of limits that were others in a released procedure [SI]; source: revisions 1 and 2, whose plans
took a limit looser than watertight. A hold judged by such a limit says so by itself."""


LATER = frozenset({"memory_most_k", "drive_most_k", "regulator_most_k", "least_above_air_k", "least_carried"})
"""Limits of the soak that came behind its first ones: where they lack, those that ship count."""

MOST = 4
"""Differences that one line names; our choice: two rows on a screen of 80 columns."""


@cache
def differences(procedure: Procedure, shipped: Procedure) -> tuple[str, ...]:
    """Return what a procedure asks otherwise than the one that ships, each in words; nothing for the released ones.

    Compared is what opens a lock or decides a verdict. Earlier revisions had fewer stages, limits and cautions, so
    what is not there counts only for cautions of today's revision, and for limits of others than the soak; no step was
    ever added.
    """
    known, old = {stage.id: stage for stage in shipped.stages}, procedure.revision < shipped.revision
    return tuple(
        said for stage in procedure.stages if stage.id in known for said in _of_stage(stage, known[stage.id], old=old)
    )


def _of_stage(own: Stage, shipped: Stage, *, old: bool) -> Iterator[str]:
    word = shipped.title.lower()
    skipped = [one for one in shipped.rests_on if one not in own.rests_on]
    if skipped:
        yield f"{word} does not wait for {', '.join(skipped).replace('_', ' ')}"
    if own.rule != shipped.rule:
        yield f"{word} is judged by the rule {own.rule!r}"
    steps, cautions = {one.id for one in own.steps}, {one.id for one in own.cautions}
    yield from (f"{word} lacks the step {one.id!r}" for one in shipped.steps if one.id not in steps)
    gone = [one.id for one in shipped.cautions if one.id not in cautions]
    if gone and not (old and cautions):
        yield f"{word} lacks {counted(len(gone), 'caution')}"
    there = {one.id for one in own.limits}
    lacking = [one.id for one in shipped.limits if one.id not in there and not _came_later(one.id, own, old=old)]
    yield from (f"{word} lacks the limit {one.replace('_', ' ')}" for one in lacking)
    limits = {one.id: one for one in shipped.limits}
    for limit in own.limits:
        figures = limit.value, limit.low, limit.high
        ships = limits.get(limit.id)
        if ships is None or figures in ((ships.value, ships.low, ships.high), EARLIER.get((own.id, limit.id))):
            continue
        name = f"{word}: {limit.id.replace('_', ' ')}"
        if limit.value != ships.value:
            yield f"{name} is {limit.value:g}, where {ships.value:g} ships"
        else:
            yield f"{name} may be {limit.low:g} to {limit.high:g}, where {ships.low:g} to {ships.high:g} ships"


def _came_later(limit: str, own: Stage, *, old: bool) -> bool:
    return own.id == "thermal_soak" and (old or limit in LATER)


def own_text(own: Sequence[str]) -> str:
    """Return in one line that a procedure is none that ships, and in what."""
    more = f"; {len(own) - MOST} more" if len(own) > MOST else ""
    return f"a procedure of its own, not the one that ships: {'; '.join(own[:MOST])}{more}"
