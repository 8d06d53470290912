"""Loop volume on air against figures worked elsewhere, and its uncertainty against a propagation library."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from commission.physics.loop_volume import Uncertain, volume_by_reference, volume_by_strokes

STROKE = Uncertain(60e-6, 0.5e-6)
ROOM = Uncertain(101_325, 100)
RISE = Uncertain(25_000, 150)


def test_five_strokes_of_a_syringe() -> None:
    # Source: Boyle; closed form and the library uncertainties. Status: computed.
    v = volume_by_strokes(5, STROKE, ROOM, RISE)
    assert v.value * 1e3 == pytest.approx(1.215900, rel=1e-8)
    assert v.u * 1e3 == pytest.approx(0.012543142, rel=1e-7)
    assert v.u / v.value == pytest.approx(0.010316, rel=1e-4)


def test_a_reference_bottle_opened_into_the_loop() -> None:
    # Source: Boyle, 0.5000(20) L at 800.0(10) mbar to 232.5(10) mbar. Status: computed.
    v = volume_by_reference(Uncertain(0.5e-3, 2e-6), Uncertain(80_000, 100), Uncertain(23_250, 100))
    assert v.value * 1e3 == pytest.approx(1.220430108, rel=1e-8)
    assert v.u * 1e3 == pytest.approx(0.009122037, rel=1e-7)


def test_soft_tubes_give_the_mean_volume_of_the_pressures_passed() -> None:
    # Source: moles in a volume V0 + C·gauge with V0 1.15 L, C 2e-5 L/mbar, 250 mbar: secant V0 + C·P1 = 1.175265 L.
    # Status: computed. The air for it is worked out here from Boyle's law.
    v0, c, p0, rise = 1.15e-3, 2e-5 * 1e-3 / 100, 101_325.0, 25_000.0
    taken = ((p0 + rise) * (v0 + c * rise) - p0 * v0) / p0
    v = volume_by_strokes(1, Uncertain(taken), Uncertain(p0), Uncertain(rise))
    assert v.value * 1e3 == pytest.approx(1.175265, rel=1e-9)


strokes = st.builds(
    lambda n, s, us, p, up, d, ud: (n, Uncertain(s, us), Uncertain(p, up), Uncertain(d, ud)),
    st.integers(1, 30),
    st.floats(1e-5, 1e-3),
    st.floats(1e-9, 1e-6),
    st.floats(8e4, 1.1e5),
    st.floats(1, 500),
    st.floats(1e4, 1e5),
    st.floats(1, 300),
)


@settings(deadline=None)
@given(strokes)
def test_the_uncertainty_by_strokes_agrees_with_a_propagation_library(
    case: tuple[int, Uncertain, Uncertain, Uncertain],
) -> None:
    # Source: the library uncertainties on Boyle's law, run beside it. Status: reference library.
    n, stroke, room, rise = case
    s, p, d = (ufloat(*value) for value in (stroke, room, rise))
    boyle = n * s * p / d
    found = volume_by_strokes(n, stroke, room, rise)
    assert found.value == pytest.approx(boyle.nominal_value, rel=1e-12)
    assert found.u == pytest.approx(boyle.std_dev, rel=1e-6, abs=1e-15)


@settings(deadline=None)
@given(
    st.builds(Uncertain, st.floats(1e-4, 1e-3), st.floats(1e-9, 1e-5)),
    st.builds(Uncertain, st.floats(5e4, 1e5), st.floats(1, 300)),
    st.builds(Uncertain, st.floats(1e4, 4e4), st.floats(1, 300)),
)
def test_the_uncertainty_by_reference_agrees_with_a_propagation_library(
    reference: Uncertain, before: Uncertain, after: Uncertain
) -> None:
    # Source: the library uncertainties on Boyle's law, run beside it. Status: reference library.
    law = ufloat(*reference) * (ufloat(*before) / ufloat(*after) - 1)
    v = volume_by_reference(reference, before, after)
    assert v.value == pytest.approx(law.nominal_value, rel=1e-9)
    assert v.u == pytest.approx(law.std_dev, rel=1e-6, abs=1e-15)


@settings(deadline=None)
@given(st.floats(1e-4, 1e-2), st.integers(1, 30), st.floats(1e-5, 1e-3))
def test_a_known_volume_comes_back_by_either_method(volume: float, n: int, stroke: float) -> None:
    # Source: Boyle's law written out for a loop of that volume.
    rise = n * stroke * 101_325 / volume
    by_strokes = volume_by_strokes(n, Uncertain(stroke), Uncertain(101_325), Uncertain(rise))
    assert by_strokes.value == pytest.approx(volume, rel=1e-12)
    common = 80_000 * 5e-4 / (5e-4 + volume)
    by_reference = volume_by_reference(Uncertain(5e-4), Uncertain(80_000), Uncertain(common))
    assert by_reference.value == pytest.approx(volume, rel=1e-9)


def test_impossible_figures_are_refused() -> None:
    with pytest.raises(ValueError, match="at least one stroke"):
        volume_by_strokes(0, STROKE, ROOM, RISE)
    with pytest.raises(ValueError, match="u_stroke_m3 must be 0 or more"):
        volume_by_strokes(5, Uncertain(60e-6, -1e-6), ROOM, RISE)
    with pytest.raises(ValueError, match="rise_pa must be above 0"):
        volume_by_strokes(5, STROKE, ROOM, Uncertain(0.0))
    with pytest.raises(ValueError, match="fall_pa"):
        volume_by_reference(Uncertain(5e-4), Uncertain(20_000), Uncertain(20_000))
