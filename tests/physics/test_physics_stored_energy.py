"""Stored energy against the formula of ASME PCC-2 worked elsewhere."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.physics.stored_energy import PCC2_ATMOSPHERE_PA, stored_energy


@pytest.mark.parametrize(
    ("bar", "litres", "joule"),
    [
        (0.2, 0.3, 4.570110937),
        (0.5, 1.0, 41.01519126),
        (0.5, 1.2, 49.21822951),
        (1.0, 4.0, 359.1109084),
        (6.0, 4.0, 2982.100947),
    ],
)
def test_the_energy_in_a_loop_under_air(bar: float, litres: float, joule: float) -> None:
    # Source: ASME PCC-2-2008, Art. 5.1, Mand. App. II, P_a 101 000 Pa, exponent 0.286. Status: formula read, figures
    # computed.
    energy = stored_energy(PCC2_ATMOSPHERE_PA + bar * 1e5, litres * 1e-3)
    assert energy == pytest.approx(joule, rel=1e-8)


def test_the_same_formula_in_feet_and_pounds() -> None:
    # Source: the same appendix: E[ft-lb] = 360·P·V·(...), psia and ft3. Status: read. 100 psia and 1 ft3;
    # 1 psi = 6894.757 Pa, 1 ft3 = 0.02831685 m3, 1 ft-lbf = 1.355818 J from memory.
    foot_pounds = 360 * 100 * 1 * (1 - (14.7 / 100) ** 0.286)
    energy = stored_energy(100 * 6894.757, 0.02831685, 14.7 * 6894.757)
    assert energy / 1.355818 == pytest.approx(foot_pounds, rel=1e-4)


def test_the_rounded_exponent_is_worth_a_thousandth() -> None:
    # Source: exact exponent 0.4/1.4 gives 49.17183 J. Status: computed.
    assert stored_energy(151_000, 1.2e-3) / 49.17183 == pytest.approx(1.001, abs=1e-4)


@settings(deadline=None)
@given(st.floats(1.02e5, 1e6), st.floats(1e-5, 1e-2), st.floats(1.01, 5))
def test_more_pressure_or_volume_is_more_energy(p: float, v: float, factor: float) -> None:
    energy = stored_energy(p, v)
    assert stored_energy(p * factor, v) > energy * factor
    assert stored_energy(p, v * factor) == pytest.approx(energy * factor, rel=1e-12)


def test_no_pressure_holds_no_energy_and_a_vacuum_is_refused() -> None:
    assert stored_energy(101_000, 1e-3) == 0.0
    with pytest.raises(ValueError, match="gauge_pressure_pa"):
        stored_energy(90_000, 1e-3)
