"""What the duties that zones were left at do to flow and sound, by the fan laws: an estimate, and marked as one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Phrase
from commission.physics.fans import flow_ratio
from commission.physics.sound import SPEED_SLOPE_HIGH, level_change, level_of_equal_sources, level_of_sources
from commission.stages.fan_headers.model.duties import DutyPlan, SoundEstimate

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.stages.fan_headers.model.duties import DutyLeft

_ESTIMATE = Phrase(
    "estimate_only",
    (
        "Estimated by the fan laws and 50 log10 of the speeds (common practice, no source; "
        "55 log10 is in use too). Broadband noise of the same fans in the same case: "
        "no tones of bearings or motors, and not near a stall."
    ),
)


def plan_duties(left: Sequence[DutyLeft]) -> DutyPlan:
    """Estimate what the duties and speeds of chains do to flow, power and sound.

    Uses speeds and not duties: at 50 % duty many fans do not run at half speed. An estimate for each chain whose speeds
    are known.

    Source: fan laws, two secondary engineering texts; the level's slope is common practice, no source.

    Raises
    ------
    ValueError
        If a speed is more than ten times the full one, or a number of fans is below 1.

    Examples
    --------
    Six fans of 24 dB slowed from 1500 to 1050 rpm, worked by hand: 24 + 7.78 − 7.75.

    >>> from commission.stages.fan_headers.model.duties import DutyLeft
    >>> left = DutyLeft(chain="top", zone="", duty_pct=70, rpm=1050, full_rpm=1500, fans=6, level_db=24.0)
    >>> plan = plan_duties([left])
    >>> round(plan.sound[0].change_db, 2), round(plan.total_db, 2)
    (-7.75, 24.04)
    """
    sound = tuple(estimate for each in left if (estimate := _estimate(each)) is not None)
    levels = [each.level_db for each in sound if each.level_db is not None]
    complete = bool(left) and len(levels) == len(left)
    return DutyPlan(
        left=tuple(left),
        sound=sound,
        total_db=level_of_sources(levels) if complete else None,
        warnings=tuple(_warnings(left)),
        notes=(_ESTIMATE,) if sound else (),
    )


def _estimate(left: DutyLeft) -> SoundEstimate | None:
    if not left.rpm or not left.full_rpm:
        return None
    ratio = left.rpm / left.full_rpm
    change = level_change(ratio)
    level = None if left.level_db is None else level_of_equal_sources(left.level_db, left.fans) + change
    return SoundEstimate(
        chain=left.chain,
        change_db=change,
        change_high_db=level_change(ratio, SPEED_SLOPE_HIGH),
        flow_share=flow_ratio(ratio),
        level_db=level,
    )


def _warnings(left: Sequence[DutyLeft]) -> list[Phrase]:
    found = []
    for each in left:
        if each.minimum_pct is not None and each.duty_pct < each.minimum_pct:
            said = f"{each.chain} was left at {each.duty_pct:g} %, below the {each.minimum_pct:g} % that its sweep "
            found.append(Phrase("below_minimum", said + "advised: it may not start again."))
        if each.rpm == 0:
            said = f"{each.chain} stands still at {each.duty_pct:g} %: it moves no air, and may start without warning."
            found.append(Phrase("left_standing", said))
    return found
