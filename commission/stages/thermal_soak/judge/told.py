"""What a verdict on a soak must not hide: what was withdrawn, a limit that was raised, a soak before that failed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.record.machine.joints import Paper
from commission.record.taken_back import TakenBack, with_taken_back
from commission.stages.thermal_soak.judge import reasons_told
from commission.stages.thermal_soak.judge.part_limits import OF_KIND, limits_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.base.quantity import Phrase
    from commission.stages.thermal_soak.model import Limits, SoakReading, SoakRule, SoakVerdict
    from commission.stages.thermal_soak.state import Lost

AGAIN = "Say what was done, in a note; then soak again, and read with care."
AS_MUCH = 0.9
"""A load of this share of the one before is as much [1]; our choice: twice what a loading program wavers."""


def telling(
    verdict: SoakVerdict, lost: Sequence[Lost], limits: Limits, rule: SoakRule, failed_w: float | None
) -> SoakVerdict:
    """Return a verdict with all that.

    Parameters
    ----------
    lost
        Readings and looks of that soak that were withdrawn.
    failed_w
        Load of the soak before, where that failed [W]; None where it did not, or nobody read it.
    """
    told = [*_raised(verdict, limits, rule), *_by_kind(verdict, rule)]
    if failed_w and verdict.load_w and verdict.load_w < AS_MUCH * failed_w:
        told.append(reasons_told.failed_at(failed_w, verdict.load_w))
    if verdict.readings and not verdict.limits:
        told.append(reasons_told.NO_COMPONENT)
    outcome, said = with_taken_back(verdict.outcome, verdict.reasons, _against(lost, limits, rule), AGAIN)
    return replace(verdict, outcome=outcome, reasons=(*said[:1], *told, *said[1:]))


def _raised(verdict: SoakVerdict, limits: Limits, rule: SoakRule) -> list[Phrase]:
    """Return which components were read and are judged by a limit above the procedure's own."""
    own = limits_of([one.name for one in verdict.limits], replace(limits, own=()), rule)
    return [
        reasons_told.limit_raised(mine.name, mine.most_k, usual.most_k, mine.source)
        for mine, usual in zip(verdict.limits, own, strict=True)
        if mine.most_k > usual.most_k
    ]


def _by_kind(verdict: SoakVerdict, rule: SoakRule) -> list[Phrase]:
    """Return which components settle above the limit of any component, and are within that of what their name says."""
    ends = {one.name: one.end.upper95 for one in verdict.components}
    return [
        reasons_told.judged_as(one.name, one.most_k, one.source)
        for one in verdict.limits
        if one.source.startswith(OF_KIND) and rule.component_most_k < ends.get(one.name, 0.0) <= one.most_k
    ]


def _against(lost: Sequence[Lost], limits: Limits, rule: SoakRule) -> list[TakenBack]:
    found = []
    for one in lost:
        wet = [look for look in one.looks if look.paper is not Paper.DRY]
        hot = next((name for each in one.readings for name in _too_hot(each, limits, rule)), "")
        if wet:
            what, grave = f"{wet[0].joint}: paper {wet[0].paper}", wet[0].paper is Paper.WET
            found.append(TakenBack(seq=one.seq, what=what, reason=one.reason, grave=grave))
        elif hot:
            found.append(TakenBack(seq=one.seq, what=f"{hot} above its limit", reason=one.reason))
    return found


def _too_hot(reading: SoakReading, limits: Limits, rule: SoakRule) -> list[str]:
    most = {one.name: one.most_k for one in limits_of([one.name for one in reading.components], limits, rule)}
    sides = [side for side in (reading.warm_k, reading.cool_k) if side is not None]
    coolant = ["coolant"] if max(sides, default=0.0) > rule.coolant_most_k else []
    return [*coolant, *(one.name for one in reading.components if one.value > most[one.name])]
