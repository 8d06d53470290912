"""The duties that chains were left at as rows, and what that does to their sound: an estimate, marked as one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.card import Figure, raw

if TYPE_CHECKING:
    from commission.stages.fan_headers.model.duties import DutyLeft, DutyPlan, SoundEstimate


def duty_rows(plan: DutyPlan) -> tuple[Figure, ...]:
    """Return each chain with its duty, its speed there and the estimate of its sound, then all together."""
    sound = {one.chain: one for one in plan.sound}
    rows = tuple(_row(left, sound.get(left.chain)) for left in plan.left)
    if plan.total_db is None:
        return rows
    return (*rows, Figure(label="all together", value=f"{plan.total_db:.0f} dB", bounds="ESTIMATE"))


def _row(left: DutyLeft, estimate: SoundEstimate | None) -> Figure:
    told = _estimate(estimate) if estimate is not None else "no estimate: speeds at both duties are needed"
    facts = (f"zone {left.zone}" if left.zone else "", told, f"let be: {left.reason}" if left.reason else "")
    return Figure(
        label=left.chain,
        value=f"{left.duty_pct:g} %",
        bounds="" if left.rpm is None else f"{left.rpm:g} rpm",
        remark="; ".join(fact for fact in facts if fact),
        raw=raw("%", left.duty_pct),
    )


def _estimate(one: SoundEstimate) -> str:
    near, far = (f"{abs(db):.0f}" for db in (one.change_db, one.change_high_db))
    way = "quieter" if one.change_db <= 0 else "louder"
    change = f"{near} dB" if near == far else f"{near} to {far} dB"
    level = f", {one.level_db:.0f} dB together" if one.level_db is not None else ""
    return f"ESTIMATE: {change} {way} than at full speed{level}, {100 * one.flow_share:.0f} % of the flow"
