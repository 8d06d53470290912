"""Squeezed air against Boyle by hand and a propagation library."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from commission.physics.loop_volume import Uncertain
from commission.physics.trapped_air import give_without_air, trapped_air, tube_compliance
from commission.physics.water import COMPRESSIBILITY_PER_PA, saturation_pressure

ROOM, PUSHED = Uncertain(101_325.0), Uncertain(131_325.0)
FALL = Uncertain(6.0e-6)
SOFT = Uncertain(0.04e-9)  # 0.04 mL/kPa


def test_six_millilitres_under_three_tenths_of_a_bar() -> None:
    # Source: Boyle by hand. Status: computed.
    air = trapped_air(FALL, ROOM, PUSHED)
    assert air.value * 1e6 == pytest.approx(26.26500, rel=1e-6)
    assert air.value * ROOM.value / PUSHED.value * 1e6 == pytest.approx(20.26500, rel=1e-6)
    assert air.u == 0


def test_moist_bubbles_hold_a_little_less_air() -> None:
    # Source: Boyle for the dry part, vapour of 20 °C by IAPWS-95. Status: computed.
    air = trapped_air(FALL, ROOM, PUSHED, vapour_pa=saturation_pressure(293.15))
    assert air.value * 1e6 == pytest.approx(25.79714, rel=1e-5)


def test_soft_tubes_take_a_fifth_of_the_fall() -> None:
    # Source: Boyle after 0.04 mL/kPa for the tubes and the compression of 900 mL of water. Status: computed.
    air = trapped_air(FALL, ROOM, PUSHED, compliance_m3_pa=SOFT, liquid_m3=900e-6)
    assert air.value * 1e6 == pytest.approx(20.957760, rel=1e-5)
    water_part_ml = 900.0 * 30e3 * COMPRESSIBILITY_PER_PA
    assert water_part_ml == pytest.approx(0.012391, abs=1e-6)


def test_what_each_reading_leaves_open() -> None:
    # Source: root sum of squares (JCGM 100): 2.18875 mL for 0.5 mL of level, 2.62650 mL for 0.02 mL/kPa of tube, and
    # 0.26950 mL for 0.5 kPa if the correction for the tubes were exact. Status: computed. The same 0.5 kPa also moves
    # that correction, the same way, so the full figure is 0.35795 mL and the sum 3.4377 instead of 3.4295 mL.
    def only(fall: float = 0.0, tube: float = 0.0, pressure: float = 0.0) -> float:
        return trapped_air(
            Uncertain(6.0e-6, fall),
            ROOM,
            Uncertain(131_325.0, pressure),
            compliance_m3_pa=Uncertain(0.04e-9, tube),
            liquid_m3=900e-6,
        ).u

    assert only(fall=0.5e-6) * 1e6 == pytest.approx(2.18875, rel=1e-5)
    assert only(tube=0.02e-9) * 1e6 == pytest.approx(2.62650, rel=1e-5)
    assert only(pressure=500.0) * 1e6 == pytest.approx(0.35795, rel=1e-4)
    assert only(0.5e-6, 0.02e-9, 500.0) * 1e6 == pytest.approx(3.42954, rel=3e-3)
    assert only(0.5e-6, 0.02e-9, 500.0) ** 2 == pytest.approx(
        only(fall=0.5e-6) ** 2 + only(tube=0.02e-9) ** 2 + only(pressure=500.0) ** 2
    )


@settings(deadline=None)
@given(
    st.builds(Uncertain, st.floats(1e-7, 1e-4), st.floats(1e-9, 1e-6)),
    st.builds(Uncertain, st.floats(9e4, 1.1e5), st.floats(1, 500)),
    st.builds(Uncertain, st.floats(1.2e5, 2e5) | st.floats(3e4, 8e4), st.floats(1, 500)),
    st.builds(Uncertain, st.floats(0, 1e-10), st.floats(1e-13, 1e-11)),
    st.floats(0, 4e-3),
    st.floats(0, 5e3),
)
def test_the_uncertainty_agrees_with_a_propagation_library(
    fall: Uncertain, first: Uncertain, second: Uncertain, tube: Uncertain, liquid: float, vapour: float
) -> None:
    # Source: the library uncertainties on Boyle's law with compliance, run beside it. Status: reference library.
    moved = fall if second.value > first.value else Uncertain(-fall.value, fall.u)
    d, p1, p2, c = (ufloat(*value) for value in (moved, first, second, tube))
    law = (d - (c + COMPRESSIBILITY_PER_PA * liquid) * (p2 - p1)) * (p2 - vapour) / (p2 - p1)
    air = trapped_air(moved, first, second, compliance_m3_pa=tube, liquid_m3=liquid, vapour_pa=vapour)
    assert air.value == pytest.approx(law.nominal_value, rel=1e-6, abs=1e-12)
    assert air.u == pytest.approx(law.std_dev, rel=1e-6)


def test_under_vacuum_the_level_rises() -> None:
    # Source: Boyle by hand, 5 mL from 101.325 to 81.325 kPa. Status: computed.
    air = trapped_air(Uncertain(-5.0e-6), ROOM, Uncertain(81_325.0))
    assert air.value * 1e6 == pytest.approx(20.33125, rel=1e-6)


@settings(deadline=None)
@given(st.floats(1e-7, 1e-5), st.floats(0.0, 1e-10), st.floats(0.0, 1e-10))
def test_softer_tubes_leave_less_of_the_fall_to_air(fall: float, one: float, other: float) -> None:
    stiff, soft = sorted((one, other))
    assume(soft - stiff > 1e-14)

    def air(compliance: float) -> float:
        return trapped_air(Uncertain(fall), ROOM, PUSHED, compliance_m3_pa=Uncertain(compliance)).value

    assert air(soft) < air(stiff)


def test_walls_can_explain_more_than_the_whole_fall() -> None:
    # A negative amount says that the tubes were taken for too soft; it is not clipped to none.
    assert trapped_air(FALL, ROOM, PUSHED, compliance_m3_pa=Uncertain(0.3e-9)).value < 0


def test_a_loop_without_air_falls_by_what_tubes_and_liquid_give() -> None:
    # Source: hand calculation, 2e-11 m3/Pa and 1 L of water at 4.58914e-10/Pa over 30 kPa: 0.6 and 0.0137674 mL.
    fall = give_without_air(2e-11, 1e-3) * 30_000
    assert fall * 1e6 == pytest.approx(0.6137674, rel=1e-6)
    air = trapped_air(
        Uncertain(fall),
        Uncertain(101_325),
        Uncertain(131_325),
        compliance_m3_pa=Uncertain(2e-11),
        liquid_m3=1e-3,
    )
    assert air.value == pytest.approx(0.0, abs=1e-15)


def test_a_thin_soft_tube_widens() -> None:
    # Source: V·d/(e·E) by hand: 1 L, 10 mm by 2 mm, 10 MPa is 500 mL/MPa. Status: formula from memory, computed.
    assert tube_compliance(1e-3, 0.010, 0.002, 10e6) * 1e12 == pytest.approx(500.0)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: trapped_air(FALL, ROOM, ROOM), "the pressure did not change"),
        (lambda: trapped_air(Uncertain(-1e-6), ROOM, PUSHED), "the level moved against the pressure"),
        (lambda: trapped_air(FALL, Uncertain(0.0), PUSHED), "first_pa must be above 0"),
        (lambda: trapped_air(FALL, ROOM, PUSHED, vapour_pa=2e5), "first_above_vapour must be above 0"),
        (lambda: trapped_air(FALL, ROOM, PUSHED, liquid_m3=-1.0), "liquid_m3 must be 0 or more"),
        (lambda: trapped_air(Uncertain(6e-6, -1.0), ROOM, PUSHED), "u_fall must be 0 or more"),
        (lambda: trapped_air(Uncertain(float("nan")), ROOM, PUSHED), "fall_m3 must be a finite number"),
        (lambda: tube_compliance(1e-3, 0.01, 0.0, 1e6), "wall_m must be above 0"),
    ],
)
def test_what_no_squeeze_can_give_is_refused(call: object, words: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=words):
        call()
