"""Weighed bottles against worked figures and a propagation library."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from commission.physics import glycol
from commission.physics.glycol import Glycol
from commission.physics.loop_volume import Uncertain
from commission.physics.weighing import density_with_uncertainty, volume_by_weight

BEFORE, AFTER = Uncertain(1.1846, 0.3e-3), Uncertain(0.5312, 0.3e-3)
WARM = 295.15
PG, EG = Glycol.PROPYLENE, Glycol.ETHYLENE


@pytest.mark.parametrize(
    ("which", "x", "millilitres"), [(PG, 0.0, 654.858), (PG, 0.30, 638.800), (EG, 0.30, 629.952), (EG, 0.50, 614.181)]
)
def test_the_same_grams_are_other_millilitres(which: Glycol, x: float, millilitres: float) -> None:
    # Source: 1184.6 − 531.2 = 653.4 g over the density at 22 °C from CoolProp 8.0.0. Status: computed.
    density = Uncertain(glycol.density(which, x, WARM))
    assert volume_by_weight(BEFORE, AFTER, density).value * 1e6 == pytest.approx(millilitres, abs=0.01)


def test_what_the_scale_the_thermometer_and_the_label_leave_open() -> None:
    # Source: root sum of squares of 0.4148, 0.5971 and 1.0801 mL (JCGM 100), the last two by shifting CoolProp's
    # temperature by 2 K and fraction by 0.02, which is 1.5 % off a slope. Status: computed.
    parts = {
        "scale": (Uncertain(0.30), Uncertain(WARM), 0.4148),
        "thermometer": (Uncertain(0.30), Uncertain(WARM, 2.0), 0.5971),
        "label": (Uncertain(0.30, 0.02), Uncertain(WARM), 1.0801),
        "all": (Uncertain(0.30, 0.02), Uncertain(WARM, 2.0), 1.3020),
    }
    for name, (x, kelvin, expected) in parts.items():
        density = density_with_uncertainty(PG, x, kelvin)
        exact = name in ("thermometer", "label")
        bottle = (Uncertain(BEFORE.value), Uncertain(AFTER.value)) if exact else (BEFORE, AFTER)
        u_ml = volume_by_weight(*bottle, density).u * 1e6
        assert u_ml == pytest.approx(expected, rel=0.02 if exact else 0.01), name


@settings(deadline=None)
@given(
    st.builds(Uncertain, st.floats(1.0, 5.0), st.floats(1e-6, 5e-3)),
    st.builds(Uncertain, st.floats(0.0, 0.9), st.floats(1e-6, 5e-3)),
    st.builds(Uncertain, st.floats(950, 1150), st.floats(1e-3, 10)),
)
def test_the_uncertainty_agrees_with_a_propagation_library(
    before: Uncertain, after: Uncertain, density: Uncertain
) -> None:
    # Source: the library uncertainties on (m1 − m2)/ρ, run beside it. Status: reference library.
    law = (ufloat(*before) - ufloat(*after)) / ufloat(*density)
    v = volume_by_weight(before, after, density)
    assert v.value == pytest.approx(law.nominal_value, rel=1e-12)
    assert v.u == pytest.approx(law.std_dev, rel=1e-9)


@settings(deadline=None)
@given(st.sampled_from(Glycol), st.floats(0.0, 0.6), st.floats(273.15, 373.15))
def test_an_exact_label_and_thermometer_leave_the_density_exact(which: Glycol, x: float, kelvin: float) -> None:
    exact = density_with_uncertainty(which, Uncertain(x), Uncertain(kelvin))
    assert exact == Uncertain(glycol.density(which, x, kelvin), 0.0)
    doubtful = density_with_uncertainty(which, Uncertain(x, 0.01), Uncertain(kelvin, 1.0))
    assert doubtful.value == exact.value
    assert 0 < doubtful.u < 3


@pytest.mark.parametrize(
    ("before", "after", "density", "words"),
    [
        (0.5312, 1.1846, 1000.0, "after_kg must be between"),
        (1.0, 1.0, 1000.0, "poured_kg must be above 0"),
        (1.0, -0.1, 1000.0, "after_kg must be between"),
        (1.0, 0.5, 0.0, "density_kg_m3 must be above 0"),
        (0.0, 0.0, 1000.0, "before_kg must be above 0"),
        (float("nan"), 0.5, 1000.0, "must be a finite number"),
    ],
)
def test_a_bottle_that_got_heavier_is_refused(before: float, after: float, density: float, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        volume_by_weight(Uncertain(before), Uncertain(after), Uncertain(density))


def test_a_negative_uncertainty_is_refused() -> None:
    with pytest.raises(ValueError, match="u_before_kg must be 0 or more"):
        volume_by_weight(Uncertain(1.0, -1.0), Uncertain(0.5), Uncertain(1000.0))
    with pytest.raises(ValueError, match="u_temperature_k must be 0 or more"):
        density_with_uncertainty(PG, Uncertain(0.3), Uncertain(WARM, -1.0))
