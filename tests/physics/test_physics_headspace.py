"""The closed loop that warms, against figures from two property libraries, and never a number when it is full."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from commission.physics.glycol import Glycol
from commission.physics.headspace import Closing, LiquidFull, headspace_needed, pressure_when_warmed
from tests.reference import iapws95

EG, PG = Glycol.ETHYLENE, Glycol.PROPYLENE


def closing(which: Glycol = PG, x: float = 0.0, hot: float = 60.0, **more: float) -> Closing:
    return Closing(glycol=which, mass_fraction=x, closed_k=293.15, liquid_k=hot + 273.15, **more)


@pytest.mark.parametrize(
    ("liquid_ml", "how", "liquid1", "air1", "absolute", "gauge"),
    [
        (950, closing(hot=40), 955.73590, 44.26410, 126.82590, 25.50090),
        (950, closing(hot=60), 964.50450, 35.49550, 178.40618, 77.08118),
        (950, closing(hot=10), 948.57902, 51.42098, 94.19518, -7.12982),
        (950, closing(EG, 0.50), 972.31327, 27.68673, 223.09823, 121.77323),
        (950, closing(PG, 0.30), 971.47577, 28.52423, 217.13348, 115.80848),
        (980, closing(hot=60), 994.96253, 5.03747, 466.56838, 365.24338),
    ],
)
def test_a_closed_litre_that_warms_from_twenty_degrees(
    liquid_ml: float, how: Closing, liquid1: float, air1: float, absolute: float, gauge: float
) -> None:
    # Source: gas law, Dalton and CoolProp/iapws properties, 101.325 kPa. Status: computed.
    warmed = pressure_when_warmed(1e-3, liquid_ml * 1e-6, how)
    assert warmed.liquid_m3 * 1e6 == pytest.approx(liquid1, abs=2e-3)
    assert warmed.headspace_m3 * 1e6 == pytest.approx(air1, abs=2e-3)
    # Next to full, a millionth of the volume is a hundredth of the air: the tolerance grows with it.
    tolerance = 0.05 if air1 > 10 else 0.3
    assert warmed.absolute_pa / 1e3 == pytest.approx(absolute, abs=tolerance)
    assert warmed.gauge_pa / 1e3 == pytest.approx(gauge, abs=tolerance)


def test_walls_that_grow_help_a_little() -> None:
    # Source: as above with 5e-5 1/K. Status: computed.
    warmed = pressure_when_warmed(1e-3, 950e-6, closing(vessel_per_k=5e-5))
    assert warmed.headspace_m3 * 1e6 == pytest.approx(37.49550, abs=2e-3)
    assert warmed.absolute_pa / 1e3 == pytest.approx(169.95398, abs=0.05)
    assert warmed.gauge_pa / 1e3 == pytest.approx(68.62898, abs=0.05)


@pytest.mark.parametrize(("total", "liquid"), [(1e-3, 990e-6), (1e-3, 1e-3), (1e-3, 1.1e-3)])
def test_a_full_loop_gives_an_error_and_never_a_number(total: float, liquid: float) -> None:
    # Source: 990 mL of water at 60 °C need 1005.115 mL. Status: computed.
    with pytest.raises(LiquidFull, match="mL") as refused:
        pressure_when_warmed(total, liquid, closing())
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    ("how", "limit_kpa", "millilitres"),
    [
        (closing(hot=60), 50, 100.896963),
        (closing(hot=60), 100, 38.190483),
        (closing(hot=50), 50, 45.523866),
        (closing(EG, 0.50), 50, 155.216795),
    ],
)
def test_the_headspace_that_950_millilitres_need(how: Closing, limit_kpa: float, millilitres: float) -> None:
    # Source: gas law solved for the volume, CoolProp/iapws properties. Status: computed.
    assert headspace_needed(950e-6, how, limit_kpa * 1e3) * 1e6 == pytest.approx(millilitres, abs=0.05)


@pytest.mark.parametrize(
    ("which", "x", "ml_per_litre"),
    [
        (PG, 0.0, (47.92, 106.21, 40.20)),
        (EG, 0.30, (66.71, 140.73, 53.27)),
        (EG, 0.50, (79.13, 163.39, 61.84)),
        (PG, 0.30, (75.27, 157.25, 59.52)),
        (PG, 0.50, (96.15, 196.91, 74.53)),
    ],
)
def test_the_headspace_that_a_litre_needs(which: Glycol, x: float, ml_per_litre: tuple[float, float, float]) -> None:
    # Source: as above; 50 °C and 50 kPa, 60 °C and 50 kPa, 60 °C and 100 kPa. Status: computed.
    cases = zip(((50, 50), (60, 50), (60, 100)), ml_per_litre, strict=True)
    for (hot, limit_kpa), expected in cases:
        needed = headspace_needed(1e-3, closing(which, x, hot), limit_kpa * 1e3)
        assert needed * 1e6 == pytest.approx(expected, abs=0.06)


@settings(deadline=None)
@given(st.sampled_from(Glycol), st.floats(0.0, 0.6), st.floats(25.0, 70.0), st.floats(3e4, 2e5))
def test_exactly_the_needed_headspace_gives_exactly_the_limit(
    which: Glycol, x: float, hot: float, limit: float
) -> None:
    # Source: the two formulas are inverse to each other.
    how = closing(which, x, hot)
    try:
        needed = headspace_needed(1e-3, how, limit)
    except ValueError:
        return
    assume(needed > 1e-9)
    assert pressure_when_warmed(1e-3 + needed, 1e-3, how).gauge_pa == pytest.approx(limit, rel=1e-6)
    assert pressure_when_warmed(1e-3 + 1.1 * needed, 1e-3, how).gauge_pa < limit


@settings(deadline=None, max_examples=30)
@given(st.floats(900.0, 960.0), st.floats(21.0, 60.0))
def test_any_warming_agrees_with_the_library(liquid_ml: float, hot: float) -> None:
    # Source: gas law over IAPWS-95 water of iapws 1.5.5. Status: reference library.
    kelvin = hot + 273.15
    grown = liquid_ml * iapws95(T=293.15, P=0.101325).rho / iapws95(T=kelvin, P=0.101325).rho
    dry = 101_325 - iapws95(T=293.15, x=0).P * 1e6
    vapour = iapws95(T=kelvin, x=0).P * 1e6
    expected = dry * (1000 - liquid_ml) / (1000 - grown) * kelvin / 293.15 + vapour
    assert pressure_when_warmed(1e-3, liquid_ml * 1e-6, closing(hot=hot)).absolute_pa == pytest.approx(
        expected, rel=3e-4
    )


def test_the_gas_law_alone_is_wrong_by_far() -> None:
    # Source: 101.325·333.15/293.15 = 115.15 kPa by hand. Status: computed.
    assert pressure_when_warmed(1e-3, 950e-6, closing()).absolute_pa - 115.15e3 > 60e3


def test_a_loop_that_cools_needs_no_headspace() -> None:
    assert headspace_needed(950e-6, closing(hot=10), 50e3) == 0


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: headspace_needed(950e-6, closing(hot=90), 20e3), "no headspace keeps below 20000 Pa"),
        (lambda: headspace_needed(950e-6, closing(), 0.0), "limit_gauge_pa must be above 0"),
        (lambda: headspace_needed(0.0, closing(), 50e3), "liquid_m3 must be above 0"),
        (lambda: pressure_when_warmed(1e-3, 950e-6, closing(hot=-5)), "temperature_k 268.15 is below"),
        (lambda: pressure_when_warmed(1e-3, 950e-6, closing(vessel_per_k=-1.0)), "vessel_per_k must be 0 or more"),
        (lambda: pressure_when_warmed(1e-3, 950e-6, closing(barometer_pa=1e3)), "dry_air_pa must be above 0"),
        (lambda: pressure_when_warmed(1e-3, 950e-6, closing(air_k=20.0)), "temperature_k must be between"),
    ],
)
def test_what_cannot_be_answered_is_refused(call: object, words: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=words):
        call()
