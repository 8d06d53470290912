"""A hold below the pressure that a pump makes: the same hole lets more through in use than it did in the test."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.verdict import Outcome
from commission.physics.gas import STANDARD_ATMOSPHERE_PA, absolute_pressure
from commission.physics.leak import rescale_viscous
from commission.stages.pressure_hold.judge.leak_class import PUMP_PA

if TYPE_CHECKING:
    from commission.stages.pressure_hold.model import HoldVerdict


def limit_in_test(limit_pa_m3_s: float, start_gauge_pa: float) -> float:
    """Return the largest leak rate in a test by which a loop keeps its limit at a pump's pressure too.

    Parameters
    ----------
    limit_pa_m3_s
        The limit, at the test pressure or at a pump's, whichever is higher [Pa·m3/s].
    start_gauge_pa
        Pressure at the start of the test, above 0 [Pa gauge].

    Returns
    -------
    float
        The limit itself from a pump's pressure on, less below it [Pa·m3/s].

    Raises
    ------
    ValueError
        If a value is not finite, or the pressure is not above 0.

    Notes
    -----
    Our choice, for the names of the limits speak of water at that pressure. Whoever has parts too weak for it can hold
    longer.

    Examples
    --------
    By hand: (1063.25² − 1013.25²)/(1213.25² − 1013.25²) = 0.2332, with 50 and 200 mbar gauge.

    >>> round(limit_in_test(1.0, 5000), 4), limit_in_test(1.0, 20_000), limit_in_test(1.0, 50_000)
    (0.2332, 1.0, 1.0)
    """
    if start_gauge_pa >= PUMP_PA:
        return limit_pa_m3_s
    return limit_pa_m3_s / _growth(start_gauge_pa)


def _growth(start_gauge_pa: float) -> float:
    """Return how many times more a hole lets through at a pump's pressure."""
    outside = STANDARD_ATMOSPHERE_PA
    return rescale_viscous(
        1.0,
        from_pa=absolute_pressure(start_gauge_pa, outside),
        from_outside_pa=outside,
        to_pa=absolute_pressure(PUMP_PA, outside),
        to_outside_pa=outside,
    )


def with_pump_pressure(verdict: HoldVerdict) -> HoldVerdict:
    """Return a verdict that says what a pass below a pump's pressure proves of it; it passes only if that is enough.

    Parameters
    ----------
    verdict
        What the readings prove at their own pressure.

    Returns
    -------
    HoldVerdict
        The same from a pump's pressure on.

    Raises
    ------
    ValueError
        If the start pressure is not above 0.
    """
    start, found = verdict.start_gauge_pa, verdict.leak_rate
    if verdict.outcome is not Outcome.PASS or found is None or start is None or start >= PUMP_PA:
        return verdict
    most, limit = found.at_most * _growth(start), verdict.limit_pa_m3_s
    amounts = (
        Amount(Quantity.GAUGE_PRESSURE, start),
        Amount(Quantity.GAUGE_PRESSURE, PUMP_PA),
        Amount(Quantity.LEAK_RATE, most),
    )
    if most <= limit:
        told = Phrase("below_pump_pressure", "Held at {0}. At the {1} of a pump it leaks at most {2}.", amounts)
        return replace(verdict, reasons=(*verdict.reasons[:1], told, *verdict.reasons[1:]))
    low = Phrase(
        "too_low_for_the_pump",
        ("Held at {0}. At the {1} of a pump it may leak {2}, above the limit. Pump up to {1}, or hold longer."),
        amounts,
    )
    return replace(verdict, outcome=Outcome.INCONCLUSIVE, reasons=(low, *verdict.reasons), hold_needed_s=None)
