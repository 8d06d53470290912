"""Volumes of parts and levels against geometry worked by hand."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from commission.physics.glycol import Glycol
from commission.physics.loop_volume import Uncertain
from commission.physics.vessels import flat_tube_volume, level_volume, ring_area, tube_volume, volume_at

PG = Glycol.PROPYLENE


@pytest.mark.parametrize(
    ("bore_mm", "ml_per_metre"),
    [
        (6.35, 31.6692),
        (8, 50.2655),
        (9.5, 70.8822),
        (10, 78.5398),
        (11.1, 96.7689),
        (12, 113.0973),
        (12.7, 126.6769),
        (13, 132.7323),
        (16, 201.0619),
    ],
)
def test_a_metre_of_tube(bore_mm: float, ml_per_metre: float) -> None:
    # Source: π/4·d². Status: computed.
    assert tube_volume(Uncertain(bore_mm / 1e3), Uncertain(1.0)).value * 1e6 == pytest.approx(ml_per_metre, rel=1e-6)


def test_a_tube_measured_by_hand() -> None:
    # Source: geometry and JCGM 100, 10(0.1) mm by 2500(20) mm. Status: computed.
    v = tube_volume(Uncertain(10e-3, 0.1e-3), Uncertain(2.5, 0.020))
    assert v.value * 1e6 == pytest.approx(196.3495, rel=1e-6)
    assert v.u * 1e6 == pytest.approx(4.2295, rel=1e-4)


@settings(deadline=None)
@given(
    st.builds(Uncertain, st.floats(1e-3, 0.1), st.floats(1e-6, 1e-3)),
    st.builds(Uncertain, st.floats(0.01, 10.0), st.floats(1e-6, 1e-2)),
)
def test_the_uncertainty_of_a_tube_agrees_with_a_propagation_library(bore: Uncertain, length: Uncertain) -> None:
    # Source: the library uncertainties on π/4·d²·L. Status: reference library.
    law = math.pi / 4 * ufloat(*bore) ** 2 * ufloat(*length)
    v = tube_volume(bore, length)
    assert v.value == pytest.approx(law.nominal_value, rel=1e-12)
    assert v.u == pytest.approx(law.std_dev, rel=1e-9)


def test_a_round_reservoir() -> None:
    # Source: π(D² − d²)/4000 mL a millimetre for 60 mm, bare and with a 12 mm tube in it. Status: computed.
    assert ring_area(0.060) * 1e3 == pytest.approx(2.827433, rel=1e-6)
    assert ring_area(0.060, 0.012) * 1e3 == pytest.approx(2.714336, rel=1e-6)
    assert level_volume(0.150, 0.200, 0.060) * 1e6 == pytest.approx(424.1150, rel=1e-6)


def test_a_flat_tube_radiator() -> None:
    # Source: geometry, 12 tubes 16 × 1.3 × 360 mm, tanks 118 × 27 × 16 and × 20 mm. Status: computed.
    core = flat_tube_volume(12, 0.360, 0.016, 0.0013)
    tanks = 0.118 * 0.027 * (0.016 + 0.020)
    assert core / 12 / 0.360 * 1e6 == pytest.approx(20.43732, rel=1e-6)
    assert core * 1e6 == pytest.approx(88.2892, rel=1e-6)
    assert (core + tanks) * 1e6 == pytest.approx(202.9852, rel=1e-6)


@pytest.mark.parametrize(("x", "more_ml"), [(0.0, 2.31199), (0.30, 4.32366)])
def test_warming_raises_a_level_without_any_air(x: float, more_ml: float) -> None:
    # Source: 900 mL from 20 to 30 °C, densities from CoolProp 8.0.0. Status: computed.
    warm = volume_at(900e-6, PG, x, 293.15, 303.15)
    assert (warm - 900e-6) * 1e6 == pytest.approx(more_ml, abs=0.002)
    if x == 0:
        assert (warm - 900e-6) / ring_area(0.060) * 1e3 == pytest.approx(0.81770, abs=1e-3)
    assert volume_at(warm, PG, x, 303.15, 293.15) == pytest.approx(900e-6, rel=1e-12)


@pytest.mark.parametrize(
    ("which", "x", "to_40", "to_60"),
    [
        (PG, 0.0, 0.603779, 1.526789),
        (Glycol.ETHYLENE, 0.30, 0.898653, 2.023019),
        (Glycol.ETHYLENE, 0.50, 1.090512, 2.348765),
        (PG, 0.30, 1.021549, 2.260607),
        (PG, 0.50, 1.334997, 2.830732),
    ],
)
def test_coolants_grow_on_warming(which: Glycol, x: float, to_40: float, to_60: float) -> None:
    # Source: densities from CoolProp 8.0.0, per cent from 20 °C. Status: computed.
    assert (volume_at(1.0, which, x, 293.15, 313.15) - 1) * 100 == pytest.approx(to_40, abs=1e-3)
    assert (volume_at(1.0, which, x, 293.15, 333.15) - 1) * 100 == pytest.approx(to_60, abs=1e-3)


@settings(deadline=None)
@given(st.floats(0.01, 0.2), st.floats(0.0, 0.9), st.floats(0.05, 0.5), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_a_higher_level_is_more(bore: float, share: float, height: float, one: float, other: float) -> None:
    low, high = sorted((one * height, other * height))
    insert = share * bore
    assert level_volume(low, height, bore, insert) <= level_volume(high, height, bore, insert)
    assert level_volume(height, height, bore, insert) <= math.pi / 4 * bore**2 * height * (1 + 1e-12)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: level_volume(0.201, 0.200, 0.060), "level_m must be between 0 and 0.2, not 0.201"),
        (lambda: level_volume(-0.001, 0.200, 0.060), "level_m must be between"),
        (lambda: ring_area(0.012, 0.012), "gap_m must be above 0"),
        (lambda: ring_area(0.0), "bore_m must be above 0"),
        (lambda: flat_tube_volume(0, 0.36, 0.016, 0.0013), "at least one tube"),
        (lambda: flat_tube_volume(12, 0.36, 0.0013, 0.016), "width_beyond_gap_m must be above 0"),
        (lambda: tube_volume(Uncertain(0.0), Uncertain(1.0)), "bore_m must be above 0"),
        (lambda: tube_volume(Uncertain(0.01, -0.1), Uncertain(1.0)), "u_bore_m must be 0 or more"),
        (lambda: volume_at(-1e-6, PG, 0.3, 293.15, 303.15), "volume_m3 must be 0 or more"),
        (lambda: volume_at(1e-6, PG, 0.3, 293.15, 250.0), "below the freezing point"),
    ],
)
def test_what_no_vessel_is_like_is_refused(call: object, words: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=words):
        call()
