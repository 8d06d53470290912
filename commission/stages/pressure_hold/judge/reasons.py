"""The reasons of a verdict in plain words, the one that decided first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.verdict import Outcome
from commission.physics.gas import pressure_change
from commission.stages.pressure_hold.judge import late as hold_late
from commission.stages.pressure_hold.judge import share
from commission.stages.pressure_hold.judge.settled import looks_like_creep
from commission.stages.pressure_hold.judge.unbelieved import told_fall

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.bounds import Band
    from commission.stages.pressure_hold.judge.fit import HoldLine
    from commission.stages.pressure_hold.judge.late import Late
    from commission.stages.pressure_hold.judge.part import Part
    from commission.stages.pressure_hold.judge.settled import Settled
    from commission.stages.pressure_hold.judge.terms import Terms
    from commission.stages.pressure_hold.judge.variants import Variant

TOLD_WEATHER_PA = 50.0
"""A smaller change of the barometer is not worth a remark [Pa]; our choice: half a millibar is below most gauges."""
MOST_REASONS = 6
"""So many reasons are given at most [1]; our choice: more are not read at a bench."""


def decided(outcome: Outcome, found: Band, limit: float) -> Phrase:
    """Say which bound of the leak rate decided against the limit [Pa·m3/s], or that none did."""
    most = Amount(Quantity.LEAK_RATE, limit)
    if outcome is Outcome.PASS:
        most_of = share.at_most(found.upper, limit)
        return Phrase("upper_bound_within_limit", f"Leaks at most {most_of} of {{0}}.", (most,))
    if outcome is Outcome.FAIL:
        least = share.at_least(found.lower, limit)
        return Phrase("lower_bound_beyond_limit", f"Leaks at least {least} of {{0}}.", (most,))
    return Phrase(
        "limit_between_bounds",
        f"Cannot tell: the leak is {share.between(found.lower, found.upper, limit)} of {{0}}.",
        (most,),
    )


def shares(line: HoldLine, parts: Terms, spread_pa: float) -> list[tuple[float, str, str]]:
    """Rank what makes the bounds wide: half-width [Pa], code, and what would help, the largest first.

    ``spread_pa`` is half of the spread between the gas paths.
    """
    z = 1.645  # one-sided 95 %, normal
    ranked = [
        (z * parts.resolution_pa, "gauge_steps", "the steps of the gauge; a finer gauge helps"),
        (2 * line.s_drop_pa, "scatter", "the scatter of the readings; more readings or a quieter place help"),
        (
            z * parts.thermometer_pa,
            "thermometer",
            "the thermometer; a finer one, taped to the loop and covered, helps",
        ),
        (z * parts.barometer_pa, "barometer", "the barometer; a finer one, or reading it more often, helps"),
        (z * parts.unseen_air_pa, "seldom_air", "the air between its readings; reading it more often helps"),
        (spread_pa, "gas_lag", "the delay with which the gas follows the air; a steadier room helps"),
        (z * parts.gain_pa, "gauge_scale", "the scale of the gauge; a calibrated gauge helps"),
        (
            z * parts.volume_ratio * abs(line.drop_pa),
            "volume",
            "the volume of the loop; measuring it on air helps",
        ),
        (
            line.swing_factor * parts.room_pa,
            "room",
            "the temperature that nobody read; a thermometer at the loop helps",
        ),
        (line.swing_factor * parts.weather_pa, "weather", "the barometer that nobody read; reading it helps"),
        (parts.needle_pa, "needle", "the needle that is not tapped; tapping the dial before each reading helps"),
    ]
    return sorted(ranked, reverse=True)


def governing(line: HoldLine, parts: Terms, spread_pa: float) -> Phrase:
    """Name what governs the bounds, and what would help; told from the same as `shares`."""
    size, code, words = shares(line, parts, spread_pa)[0]
    return Phrase(
        f"governed_by_{code}",
        "Biggest uncertainty: " + words.replace(";", ", ± {0};", 1) + ".",
        (Amount(Quantity.PRESSURE_DIFFERENCE, float(f"{size:.2g}")),),  # an uncertainty, in two digits
    )


def remarks(part: Part, fitted: list[Variant]) -> list[Phrase]:
    """Say how the readings were compensated, by the first of its variants, and what nobody read."""
    said = [_about_air(part, fitted[0])]
    if not part.setup.absolute:
        said += _about_weather(part, fitted[0])
    return said


def _about_air(part: Part, first: Variant) -> Phrase:
    """Say what the temperature did, or that nobody read it."""
    if not part.seen.air_known:
        return Phrase(
            "no_thermometer",
            "No air temperature was read twice: a swing of {0} is assumed.",
            (Amount(Quantity.TEMPERATURE_DIFFERENCE, part.setup.room_swing_k),),
        )
    gas = first.gas_k[part.begin : part.end]
    change = float(gas[-1] - gas[0])
    if abs(change) < (part.setup.air_step_k or 0.0) / 2:
        return Phrase("temperature_steady", "The air ended as warm as it began, within half a step of the thermometer.")
    return Phrase(
        "temperature_compensated",
        "The air changed by {0}, which alone moves the pressure by {1}; this is taken out.",
        (
            Amount(Quantity.TEMPERATURE_DIFFERENCE, change),
            Amount(Quantity.PRESSURE_DIFFERENCE, pressure_change(first.line.start_pa, float(gas.mean()), change)),
        ),
    )


def _about_weather(part: Part, first: Variant) -> list[Phrase]:
    """Say what the barometer did where it matters, or that nobody read it."""
    if part.seen.barometer_readings < 2:
        return [
            Phrase(
                "no_barometer",
                "No barometer was read twice: a change of {0} is assumed.",
                (Amount(Quantity.PRESSURE_DIFFERENCE, first.parts.weather_pa),),
            )
        ]
    weather = part.seen.barometer_pa[part.begin : part.end]
    change = float(weather[-1] - weather[0])
    if abs(change) < TOLD_WEATHER_PA:
        return []
    return [
        Phrase(
            "barometer_compensated",
            "The barometer changed by {0}; this is taken out.",
            (Amount(Quantity.PRESSURE_DIFFERENCE, change),),
        )
    ]


def wait_s(settled: Settled) -> float:
    """Return how long a hold must be so that enough of it is left after the settling [s]; 0 without a settling."""
    return 2 * settled.settling.cut_s if settled.settling is not None else 0.0


def still_settling(settled: Settled) -> Phrase:
    """Say that the settling was not over, and how long to wait."""
    return Phrase(
        "settling_not_over",
        (
            "The pressure was still settling. Let the loop stand for {0} from the first "
            "reading, then hold at least as long again."
        ),
        (Amount(Quantity.DURATION, wait_s(settled) / 2),),
    )


def may_have_risen(upper: float) -> Phrase:
    """Say that the pressure seems to have risen: the upper 99 % bound of the leak rate is below 0 [Pa·m3/s]."""
    return Phrase(
        "pressure_may_have_risen",
        (
            "The corrected pressure seems to have risen: a leak of at most {0} is below "
            "zero. Check that the source is shut off and hold again."
        ),
        (Amount(Quantity.LEAK_RATE, upper),),
    )


def still_running(elapsed_s: float, planned_s: float | None) -> Phrase:
    """Say that the last reading came before the planned end [s]; None where none was planned."""
    if planned_s is None:
        return Phrase("still_running", "The hold is still running: it is judged at its end.")
    return Phrase(
        "before_planned_end",
        "The hold is to last {0}, of which {1} are still missing: it is judged at its end.",
        (Amount(Quantity.DURATION, planned_s), Amount(Quantity.DURATION, max(planned_s - elapsed_s, 0.0))),
    )


def all_reasons(
    settled: Settled, why: Phrase, outcome: Outcome, needed_s: float | None, late: Late | None
) -> tuple[Phrase, ...]:
    """Collect the reasons, at most six, the deciding one first.

    ``needed_s`` is how long a hold would decide, None where none would; ``late`` is None before the planned end.
    """
    part, fitted = settled.part, settled.fitted
    said = [why]
    if outcome is Outcome.INCONCLUSIVE and why.code not in hold_late.ENDS_OPEN:
        said.append(_length(needed_s))
    if why.code not in {"left_out_unexplained", "settling_too_deep"}:
        said += told_fall(settled)
    if outcome is not Outcome.INVALID:
        said += _about_the_end(outcome, late) + _about_shape(settled)
        drops = [one.line.drop_pa for one in fitted]
        said.append(governing(fitted[0].line, fitted[0].parts, (max(drops) - min(drops)) / 2))
    if settled.settling is not None and settled.over and not any(one.code == "fall_left_out" for one in said):
        said.append(
            Phrase(
                "settling_left_out",
                "The first {0} are left out: the pressure was still settling.",
                (Amount(Quantity.DURATION, settled.cut_s),),
            )
        )
    elif not settled.seen_at_all:
        said.append(
            Phrase(
                "too_few_to_see_settling",
                "So few readings cannot tell settling from a leak: wait before the first one.",
            )
        )
    return tuple(said + remarks(part, fitted))[:MOST_REASONS]


def _length(needed_s: float | None) -> Phrase:
    """Say how long a hold would decide."""
    if needed_s is None:
        return Phrase("longer_hold_does_not_decide", "No hold within two days would decide at this rate.")
    return Phrase(
        "longer_hold_decides", "A hold of {0} would decide at this rate.", (Amount(Quantity.DURATION, needed_s),)
    )


def _about_the_end(outcome: Outcome, late: Late | None) -> list[Phrase]:
    """Say when it began to fall faster, or within which time that would not be seen."""
    if late is None:
        return []
    if late.fall is not None:
        return [hold_late.onset(late.fall)]
    return [hold_late.blind(late)] if outcome is Outcome.PASS else []


def _about_shape(settled: Settled) -> list[Phrase]:
    """Name soft tube where the fall looks like its creep."""
    return [hold_late.soft_tube()] if looks_like_creep(settled) else []
