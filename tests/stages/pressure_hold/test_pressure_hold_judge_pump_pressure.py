"""A hold below the 200 mbar that a pump makes: what passes there must keep its limit at the pump's pressure too.

Viscous flow goes with the difference of the squared absolute pressures: from 55 to 200 mbar gauge at 1013.25 mbar
(1213.25² − 1013.25²)/(1068.25² − 1013.25²) = 445300/114482.5 = 3.890.
"""

import pytest

from commission.base.verdict import Outcome
from commission.stages.pressure_hold.judge.capability import hold_capability
from commission.stages.pressure_hold.judge.verdict import evaluate_pressure_hold
from tests.stages.pressure_hold.hold_makers import SETUP, made

LOW_PA = 5500.0
GROWTH = 445300 / 114482.5


def test_a_loop_that_leaks_beyond_the_limit_at_the_pump_does_not_pass_by_a_low_pressure() -> None:
    """4.4e-3 mbar·L/s at 55 mbar are 1.7e-2 at 200 mbar, where 1e-2 is the limit."""
    verdict = evaluate_pressure_hold(made(4.4e-4, start_pa=LOW_PA), SETUP)
    assert verdict.outcome is Outcome.INCONCLUSIVE
    assert verdict.reasons[0].code == "too_low_for_the_pump"
    start, pump, most = (amount.si for amount in verdict.reasons[0].amounts)
    assert start == pytest.approx(LOW_PA, rel=0.01)
    assert pump == 20_000
    assert verdict.leak_rate is not None
    assert most == pytest.approx(GROWTH * verdict.leak_rate.at_most, rel=0.01)


def test_weak_parts_pass_where_the_low_pressure_proves_enough() -> None:
    verdict = evaluate_pressure_hold(made(1e-5, start_pa=LOW_PA), SETUP)
    assert verdict.outcome is Outcome.PASS
    assert verdict.reasons[1].code == "below_pump_pressure"


def test_from_the_pressure_of_a_pump_on_nothing_is_said() -> None:
    verdict = evaluate_pressure_hold(made(4.4e-4, start_pa=20_100), SETUP)
    assert verdict.outcome is Outcome.PASS
    assert not {"below_pump_pressure", "too_low_for_the_pump"} & {reason.code for reason in verdict.reasons}


def test_the_time_that_decides_counts_with_what_the_low_pressure_must_prove() -> None:
    """A leak of the limit at 200 mbar takes 1e-3 / 3.890 · 3600 s / 1.2 L = 771 Pa in an hour at 55 mbar."""
    low = hold_capability(SETUP, start_gauge_pa=LOW_PA, hold_s=3600)
    assert low.expected_drop_pa == pytest.approx(771, rel=0.1)  # a little less as the pressure falls
