"""Heat that a coolant carries, against CoolProp and IAPWS-95.

Outside: CoolProp 8 (incompressible mixtures), iapws (IAPWS-95); worked arithmetic for the uncertainty.
"""

import math

import pytest

from commission.physics.glycol import Glycol
from commission.physics.heat import heat_carried, u_heat_carried
from tests.reference import coolprop, iapws95

FLOW = 0.2 / 3600
"""200 L/h [m3/s]."""


@pytest.mark.parametrize(("warm", "cool"), [(36.0, 34.3), (60.0, 50.0), (20.0, 25.0)])
def test_water_carries_what_the_equation_of_state_says(warm: float, cool: float) -> None:
    state = iapws95(T=273.15 + (warm + cool) / 2, P=0.1)
    expected = state.rho * FLOW * 1000 * state.cp * (warm - cool)
    assert heat_carried(FLOW, 273.15 + warm, 273.15 + cool) == pytest.approx(
        expected, rel=1e-4
    )  # what the release states for its heat capacity


@pytest.mark.parametrize(("base", "name", "share"), [(Glycol.PROPYLENE, "MPG", 0.3), (Glycol.ETHYLENE, "MEG", 0.5)])
def test_glycol_carries_what_coolprop_says(base: Glycol, name: str, share: float) -> None:
    mean = 273.15 + 35.15
    fluid = f"INCOMP::{name}[{share}]"
    rho, cp = (coolprop(what, "T", mean, "P", 101_325.0, fluid) for what in ("D", "C"))
    found = heat_carried(FLOW, 309.15, 307.45, base, share)
    assert found == pytest.approx(rho * FLOW * cp * 1.7, rel=1e-4)


def test_two_sensors_a_third_of_a_kelvin_off_confirm_no_heat() -> None:
    """By hand: sqrt(2) 0.3/1.7 = 24.96 %, with a flow of 5 % 25.45 %, of 392.332 W 99.86 W (JCGM 100, 5.1.2)."""
    assert u_heat_carried(392.332, 1.7, 0.3, 0.05) == pytest.approx(99.86, abs=0.005)
    assert u_heat_carried(392.332, 1.7, 0.0, 0.05) == pytest.approx(392.332 * 0.05)
    assert u_heat_carried(-100.0, -2.0, 0.3, 0.0) == pytest.approx(100 * math.sqrt(2) * 0.15)


def test_what_makes_no_sense_is_refused() -> None:
    with pytest.raises(ValueError, match="drop_k"):
        u_heat_carried(0.0, 0.0, 0.3, 0.05)
    with pytest.raises(ValueError, match="flow_m3_s"):
        heat_carried(0.0, 309.15, 307.45)
    with pytest.raises(ValueError, match="temperature_k"):
        heat_carried(FLOW, 400.0, 390.0)
