"""The air above the coolant: whether it keeps the closed loop within its weakest part when it warms."""

from __future__ import annotations

from commission.base.frozen import Frozen
from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.verdict import Outcome
from commission.physics.gas import STANDARD_ATMOSPHERE_PA
from commission.physics.glycol import HIGHEST_FRACTION, Glycol
from commission.physics.headspace import Closing, LiquidFull, headspace_needed, pressure_when_warmed
from commission.physics.loop_volume import Uncertain
from commission.stages.fill.judge.liquid import Liquid, check_temperature
from commission.stages.fill.judge.reasons import volume
from commission.stages.fill.model.fill import HeadspaceReport
from commission.statistics.conformity import guard_band

MOST_SWELLING = (Glycol.PROPYLENE, HIGHEST_FRACTION)
"""The published mixture that swells most: taken where nobody knows what is in the loop."""


class HeadspaceCase(Frozen):
    """A loop that is about to be closed."""

    liquid_m3: float
    """Coolant in it [m3]."""
    headspace_m3: Uncertain
    """Air above it, and its standard uncertainty [m3]."""
    liquid: Liquid
    """What the coolant is."""
    closed_k: float
    """Temperature when it is closed [K]."""
    hot_k: float
    """Highest temperature it will reach [K]."""
    barometer_pa: float = STANDARD_ATMOSPHERE_PA
    """Pressure of the room [Pa]."""
    limit_gauge_pa: float | None = None
    """Rating of the weakest part [Pa gauge]; None where no part states one."""


def evaluate_headspace(case: HeadspaceCase) -> HeadspaceReport:
    """Judge the headspace of a loop before it is closed.

    Returns
    -------
    HeadspaceReport
        Pressure when warm, the same at the least headspace that cannot be excluded, and the least that is needed [SI].

    Raises
    ------
    InputError
        If the coolant would be frozen or boil.
    ValueError
        If a volume or a pressure is not above 0.

    Notes
    -----
    A loop without air above the liquid has no pressure that could be named: it rises by about 4.5 bar for each degree
    until something gives. Unknown coolant is taken as the one that swells most. Rigid walls, vapour of pure water: on
    the cautious side.

    Source: ``physics.headspace``; JCGM 106:2012 for the decision.

    Examples
    --------
    950 mL of water and 50 mL of air from 20 to 60 °C: +77.08 kPa (CoolProp); 100.9 mL would keep 50 kPa.

    >>> from commission.stages.fill.judge.liquid import WATER
    >>> case = HeadspaceCase(liquid_m3=950e-6, headspace_m3=Uncertain(50e-6), liquid=WATER, closed_k=293.15,
    ...     hot_k=333.15, limit_gauge_pa=50e3)
    >>> report = evaluate_headspace(case)
    >>> f"{report.outcome} {report.gauge_pa / 1e3:.1f} {report.needed_m3 * 1e6:.1f}"
    'fail 77.1 100.9'
    """
    check_temperature(case.liquid, case.closed_k)
    check_temperature(case.liquid, case.hot_k)
    width = guard_band(case.headspace_m3.u)
    best = _gauge(case, case.headspace_m3.value)
    worst = _gauge(case, case.headspace_m3.value - width)
    roomiest = _gauge(case, case.headspace_m3.value + width)
    needed = _needed(case)
    outcome, why = _decide(case, best, worst, roomiest)
    reasons = [why]
    if needed is not None and outcome is not Outcome.PASS:
        reasons.append(Phrase("headspace_needed", "Leave at least {0} of air when you close it.", (volume(needed),)))
    if not case.liquid.published:
        reasons.append(
            Phrase(
                "taken_as_most_swelling",
                "Nobody knows this coolant: it is taken as the one that swells most on warming.",
            )
        )
    return HeadspaceReport(
        outcome=outcome,
        gauge_pa=best,
        needed_m3=needed,
        limit_gauge_pa=case.limit_gauge_pa,
        reasons=tuple(reasons),
    )


def _closing(case: HeadspaceCase) -> Closing:
    glycol, fraction = MOST_SWELLING
    if case.liquid.published and case.liquid.glycol is not None and case.liquid.mass_fraction is not None:
        glycol, fraction = case.liquid.glycol, case.liquid.mass_fraction
    return Closing(
        glycol=glycol,
        mass_fraction=fraction,
        closed_k=case.closed_k,
        liquid_k=case.hot_k,
        barometer_pa=case.barometer_pa,
    )


def _gauge(case: HeadspaceCase, headspace_m3: float) -> float | None:
    """Return the pressure when warm [Pa gauge]; None where the loop would be liquid-full."""
    if headspace_m3 <= 0:
        return None
    try:
        return pressure_when_warmed(case.liquid_m3 + headspace_m3, case.liquid_m3, _closing(case)).gauge_pa
    except LiquidFull:
        return None


def _needed(case: HeadspaceCase) -> float | None:
    if case.limit_gauge_pa is None:
        return None
    try:
        return headspace_needed(case.liquid_m3, _closing(case), case.limit_gauge_pa)
    except ValueError:
        return None


def _decide(
    case: HeadspaceCase, best: float | None, worst: float | None, roomiest: float | None
) -> tuple[Outcome, Phrase]:
    limit = case.limit_gauge_pa
    hot = Amount(Quantity.TEMPERATURE, case.hot_k)
    if best is None or roomiest is None:
        return Outcome.FAIL, Phrase(
            "liquid_full",
            "At {0} the coolant fills the whole loop: no pressure can be named, something gives. Leave more air.",
            (hot,),
        )
    if limit is None:
        return Outcome.INCONCLUSIVE, Phrase(
            "no_rating",
            "At {0} the pressure is {1}, but no part states what it withstands: ask its maker.",
            (hot, Amount(Quantity.GAUGE_PRESSURE, best)),
        )
    if roomiest > limit:
        return Outcome.FAIL, Phrase(
            "pressure_beyond_weakest_part",
            "At {0} the pressure is {1}, above the weakest part's {2}.",
            (hot, Amount(Quantity.GAUGE_PRESSURE, best), Amount(Quantity.GAUGE_PRESSURE, limit)),
        )
    if worst is not None and worst <= limit:
        return Outcome.PASS, Phrase(
            "pressure_within_weakest_part",
            "At {0} the pressure is {1}, at most {2}, within the weakest part's {3}.",
            (
                hot,
                Amount(Quantity.GAUGE_PRESSURE, best),
                Amount(Quantity.GAUGE_PRESSURE, worst),
                Amount(Quantity.GAUGE_PRESSURE, limit),
            ),
        )
    return Outcome.INCONCLUSIVE, Phrase(
        "headspace_too_uncertain",
        (
            "At {0} the pressure is about {1}; the headspace is too uncertain to stay within "
            "{2}. Read the level in the reservoir."
        ),
        (hot, Amount(Quantity.GAUGE_PRESSURE, best), Amount(Quantity.GAUGE_PRESSURE, limit)),
    )
