"""Headspace and levels: what warming does to a closed loop, and what only the temperature did."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.base.errors import InputError
from commission.base.verdict import Outcome
from commission.physics.loop_volume import Uncertain
from commission.stages.fill.judge.headspace import HeadspaceCase, evaluate_headspace
from commission.stages.fill.judge.level import check_reservoir, content_below, headspace_above
from commission.stages.fill.judge.liquid import NOT_KNOWN, WATER, Liquid, liquid_of
from commission.stages.fill.model.fill import Reservoir
from commission.units.show import say
from tests.fills import PREMIX

TANK = Reservoir(bore_m=0.060, height_m=0.200, above_m3=10e-6)


def case(
    headspace_ml: float,
    u_ml: float = 0.0,
    *,
    liquid: Liquid = WATER,
    liquid_ml: float = 950,
    hot: float = 60.0,
    limit_kpa: float | None = 50.0,
) -> HeadspaceCase:
    return HeadspaceCase(
        liquid_m3=liquid_ml * 1e-6,
        headspace_m3=Uncertain(headspace_ml * 1e-6, u_ml * 1e-6),
        liquid=liquid,
        closed_k=293.15,
        hot_k=hot + 273.15,
        limit_gauge_pa=None if limit_kpa is None else limit_kpa * 1e3,
    )


def test_fifty_millilitres_of_air_are_too_little() -> None:
    # Source: gas law with CoolProp/iapws properties: +77.081 kPa; 100.897 mL would keep 50 kPa. Status: computed.
    report = evaluate_headspace(case(50))
    assert report.outcome is Outcome.FAIL
    assert report.gauge_pa == pytest.approx(77.081e3, abs=50)
    assert report.needed_m3 is not None
    assert report.needed_m3 * 1e6 == pytest.approx(100.897, abs=0.05)
    assert [reason.code for reason in report.reasons] == ["pressure_beyond_weakest_part", "headspace_needed"]


@pytest.mark.parametrize(
    ("headspace", "u", "outcome", "code"),
    [
        (102, 0, Outcome.PASS, "pressure_within_weakest_part"),
        (100, 0, Outcome.FAIL, "pressure_beyond_weakest_part"),
        (120, 10, Outcome.PASS, "pressure_within_weakest_part"),
        (110, 10, Outcome.INCONCLUSIVE, "headspace_too_uncertain"),
        (95, 10, Outcome.INCONCLUSIVE, "headspace_too_uncertain"),
        (60, 10, Outcome.FAIL, "pressure_beyond_weakest_part"),
        (14, 0, Outcome.FAIL, "liquid_full"),
        (0, 0, Outcome.FAIL, "liquid_full"),
        (-5, 2, Outcome.FAIL, "liquid_full"),
    ],
)
def test_the_headspace_at_below_and_above_its_limit(headspace: float, u: float, outcome: Outcome, code: str) -> None:
    # Source: needed 100.897 mL, liquid-full below 14.5045 mL (CoolProp/iapws); bounds 1.645·u. Status: computed.
    report = evaluate_headspace(case(headspace, u))
    assert (report.outcome, report.reasons[0].code) == (outcome, code)


def test_a_full_loop_has_no_pressure_that_could_be_named() -> None:
    report = evaluate_headspace(case(10, liquid_ml=990))
    assert report.gauge_pa is None
    assert "fills the whole loop" in say(report.reasons[0])
    doubtful = evaluate_headspace(case(30, 12))
    assert doubtful.gauge_pa is not None


def test_without_a_rating_there_is_no_pass() -> None:
    report = evaluate_headspace(case(500, limit_kpa=None))
    assert (report.outcome, report.reasons[0].code) == (Outcome.INCONCLUSIVE, "no_rating")
    assert report.needed_m3 is None


def test_no_headspace_is_enough_where_warm_air_alone_is_too_much() -> None:
    report = evaluate_headspace(case(5000, hot=90.0, limit_kpa=20.0))
    assert report.outcome is Outcome.FAIL
    assert report.needed_m3 is None


def test_unknown_coolant_is_taken_as_the_one_that_swells_most() -> None:
    # Source: expansion from 20 to 60 °C grows with the share of propylene glycol (CoolProp 8.0.0). Status: computed.
    known = evaluate_headspace(case(100, liquid=liquid_of(PREMIX)))
    unknown = evaluate_headspace(case(100, liquid=NOT_KNOWN))
    assert known.gauge_pa is not None
    assert unknown.gauge_pa is not None
    assert unknown.gauge_pa > known.gauge_pa
    assert unknown.reasons[-1].code == "taken_as_most_swelling"


@settings(deadline=None)
@given(st.floats(20.0, 400.0), st.floats(1.0, 100.0), st.floats(0.0, 30.0))
def test_more_air_never_makes_it_worse(headspace: float, more: float, u: float) -> None:
    order = [Outcome.FAIL, Outcome.INCONCLUSIVE, Outcome.PASS]
    tight = evaluate_headspace(case(headspace, u))
    roomy = evaluate_headspace(case(headspace + more, u))
    assert order.index(roomy.outcome) >= order.index(tight.outcome)
    if tight.gauge_pa is not None and roomy.gauge_pa is not None:
        assert roomy.gauge_pa < tight.gauge_pa


def test_frozen_coolant_is_refused() -> None:
    with pytest.raises(InputError, match="-3 °C is below the freezing point"):
        evaluate_headspace(case(100, hot=-3.0))


def test_a_level_is_worth_its_millilitres() -> None:
    # Source: 2.827433 mL a millimetre in a 60 mm bore, by hand. Status: computed.
    below = content_below(TANK, 0.150)
    assert below.value * 1e6 == pytest.approx(424.1150, rel=1e-6)
    assert below.u * 1e6 == pytest.approx(0.5 * 2.827433, rel=1e-6)
    above = headspace_above(TANK, 0.150)
    assert above.value * 1e6 == pytest.approx(50 * 2.827433 + 10, rel=1e-6)
    assert above.u > below.u


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: content_below(TANK, 0.2501), "250.1 mm is outside the straight part of the reservoir, 0 to 200 mm"),
        (lambda: content_below(TANK, -0.001), "-1 mm is outside"),
        (lambda: content_below(TANK, float("nan")), "not known is outside"),
        (lambda: headspace_above(TANK, 0.3), "300 mm is outside"),
        (lambda: check_reservoir(Reservoir(bore_m=0.0, height_m=0.2)), "a bore and a height above 0"),
        (lambda: check_reservoir(Reservoir(bore_m=0.06, height_m=0.2, insert_m=0.06)), "thinner than its bore"),
    ],
)
def test_a_level_that_cannot_be_is_refused(call: object, words: str) -> None:
    assert callable(call)
    with pytest.raises(InputError, match=words):
        call()
