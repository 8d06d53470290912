"""Heat of pumping up against closed forms computed elsewhere."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.physics.filling import (
    fall_on_cooling,
    gas_time_constant,
    temperature_after_compression,
    temperature_after_fill,
)


@pytest.mark.parametrize(
    ("gauge_mbar", "warmer_k", "fall_mbar"),
    [(200, 14.4895, 57.1429), (500, 30.5595, 142.857), (1000, 48.4836, 285.714)],
)
def test_filling_from_a_supply_warms_the_gas(gauge_mbar: float, warmer_k: float, fall_mbar: float) -> None:
    # Source: energy balance, 293.15 K, 1013.25 mbar, γ 1.4. Status: computed.
    end = 101_325 + 100 * gauge_mbar
    warm = temperature_after_fill(293.15, 101_325, end)
    assert warm - 293.15 == pytest.approx(warmer_k, abs=5e-5)
    assert fall_on_cooling(end, warm, 293.15) / 100 == pytest.approx(fall_mbar, abs=5e-4)


def test_filling_to_half_a_bar_in_all_digits() -> None:
    # Source: as above. Status: computed.
    warm = temperature_after_fill(293.15, 101_325, 151_325)
    assert warm == pytest.approx(323.709537, abs=5e-7)
    assert fall_on_cooling(151_325, warm, 293.15) / 100 == pytest.approx(142.857143, rel=1e-7)


@pytest.mark.parametrize(
    ("gauge_mbar", "warmer_k", "fall_mbar"),
    [(200, 15.483, 60.864), (500, 35.595, 163.849), (1000, 63.535, 358.612)],
)
def test_a_piston_warms_it_more(gauge_mbar: float, warmer_k: float, fall_mbar: float) -> None:
    # Source: isentropic relation, 293.15 K, 1013.25 mbar, γ 1.4. Status: computed.
    end = 101_325 + 100 * gauge_mbar
    warm = temperature_after_compression(293.15, 101_325, end)
    assert warm - 293.15 == pytest.approx(warmer_k, abs=5e-4)
    assert fall_on_cooling(end, warm, 293.15) / 100 == pytest.approx(fall_mbar, abs=5e-4)


@pytest.mark.parametrize(("radius_m", "tau_s"), [(0.005, 0.303), (0.030, 10.9)])
def test_still_gas_follows_its_wall_within_seconds(radius_m: float, tau_s: float) -> None:
    # Source: conduction in a cylinder with CoolProp's diffusivity at 1.513 bar. Status: computed.
    assert gas_time_constant(radius_m) == pytest.approx(tau_s, rel=5e-3)


@settings(deadline=None)
@given(st.floats(280, 310), st.floats(8e4, 1.1e5), st.floats(1.0, 6.0))
def test_filling_never_heats_beyond_gamma_nor_beyond_a_piston(supply: float, start: float, ratio: float) -> None:
    # Source: limits of the energy balance (an empty vessel reaches γ·T0), and the piston as the stronger bound for
    # pressure ratios below about 10.
    warm = temperature_after_fill(supply, start, start * ratio)
    assert supply * (1 - 1e-12) <= warm < 1.4 * supply
    assert warm <= temperature_after_compression(supply, start, start * ratio) * (1 + 1e-12)


@settings(deadline=None)
@given(st.floats(8e4, 1.1e5), st.floats(1.0, 6.0))
def test_the_fall_after_a_fill_is_a_fixed_share_of_the_rise(start: float, ratio: float) -> None:
    # Source: algebra of the energy balance: p2(1 - T0/T2) = (γ - 1)/γ·(p2 - p1).
    end = start * ratio
    fall = fall_on_cooling(end, temperature_after_fill(293.15, start, end), 293.15)
    assert fall == pytest.approx(0.4 / 1.4 * (end - start), abs=1e-6)


def test_impossible_fills_are_refused() -> None:
    with pytest.raises(ValueError, match="filling raises the pressure"):
        temperature_after_fill(293.15, 150_000, 101_325)
    with pytest.raises(ValueError, match="heat_ratio"):
        temperature_after_fill(293.15, 101_325, 150_000, 1.0)
    with pytest.raises(ValueError, match="heat_ratio"):
        temperature_after_compression(293.15, 101_325, 150_000, 0.9)
