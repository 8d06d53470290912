"""What simpler rules of other trades would say of the same readings; shown beside the verdict, never used for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.verdict import Outcome, PlainRule
from commission.physics.leak import leak_drop, leak_rate

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.series import Columns
    from commission.stages.pressure_hold.model import HoldSetup


def plain_rules(seen: Columns, setup: HoldSetup) -> tuple[PlainRule, ...]:
    """Judge the raw gauge by two rules that know no temperature, barometer or statistics.

    Parameters
    ----------
    seen
        The readings [SI].
    setup
        The set-up [SI].

    Returns
    -------
    tuple
        The fixed drop, and the display that did not move.

    Raises
    ------
    IndexError
        If there is no reading.

    Notes
    -----
    Fixed drop: the limit over the whole hold as a fall of the raw gauge, first reading against last. No visible drop:
    the display shows the same at both ends.

    Source: kinds of acceptance criteria in gas, refrigeration and heating trades.

    Examples
    --------
    >>> from commission.stages.pressure_hold.model import HoldSeries, HoldSetup
    >>> from commission.stages.pressure_hold.judge.series import columns
    >>> nan = float("nan")
    >>> setup = HoldSetup(volume_m3=0.001, u_volume_m3=0, limit_pa_m3_s=1e-4, gauge_step_pa=100)
    >>> read = HoldSeries(elapsed_s=[0, 3600], pressure_pa=[50000, 49800], air_k=[nan, nan], barometer_pa=[nan, nan])
    >>> [str(rule.outcome) for rule in plain_rules(columns(read, setup), setup)]
    ['pass', 'fail']
    """
    pressure = seen.absolute_pa if setup.absolute else seen.gauge_pa
    drop = float(pressure[0] - pressure[-1])
    allowed = leak_drop(setup.limit_pa_m3_s, setup.volume_m3, seen.span_s)
    still = abs(drop) < setup.gauge_step_pa / 2 or drop < 0
    hidden = leak_rate(setup.volume_m3, setup.gauge_step_pa, seen.span_s)
    return (
        PlainRule(
            name="fixed drop",
            outcome=Outcome.PASS if drop <= allowed else Outcome.FAIL,
            why=Phrase(
                "blind_to_temperature_and_barometer",
                (
                    "The raw gauge fell by {0}, allowed {1}. Ignores temperature, weather and "
                    "resolution: a cooling room fails a tight loop, a warming one hides a leak."
                ),
                (Amount(Quantity.PRESSURE_DIFFERENCE, drop), Amount(Quantity.PRESSURE_DIFFERENCE, allowed)),
            ),
        ),
        PlainRule(
            name="no visible drop",
            outcome=Outcome.PASS if still else Outcome.FAIL,
            why=Phrase(
                "blind_below_one_step",
                "The display fell by {0}. Blind to any leak below one step over this hold, {1}, and to temperature and "
                "barometer.",
                (Amount(Quantity.PRESSURE_DIFFERENCE, drop), Amount(Quantity.LEAK_RATE, hidden)),
            ),
        ),
    )
