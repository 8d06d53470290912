"""Glycol mixtures against tables and the library that carries Melinder's data."""

import csv
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.physics import glycol, water
from commission.physics.glycol import Glycol
from commission.physics.glycol_fraction import mass_from_volume_fraction
from tests.reference import coolprop

TABLE = Path(__file__).parents[1] / "data" / "glycol_check_values.csv"
ROWS = list(csv.DictReader(line for line in TABLE.read_text(encoding="utf-8").splitlines() if line[:1] != "#"))
BY_CODE = {"MEG": Glycol.ETHYLENE, "MPG": Glycol.PROPYLENE}
ICE = 273.15


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['fluid']} {row['x_mass']} {row['t_C']}")
def test_the_table_of_check_values(row: dict[str, str]) -> None:
    # Source: CoolProp 8.0.0, incompressible fluids MEG and MPG (data file). Status: computed.
    which, x, kelvin = BY_CODE[row["fluid"]], float(row["x_mass"]), float(row["t_C"]) + ICE
    assert glycol.density(which, x, kelvin) == pytest.approx(float(row["rho_kg_m3"]), rel=1e-6)
    assert glycol.heat_capacity(which, x, kelvin) == pytest.approx(float(row["cp_J_kgK"]), rel=1e-5)
    assert glycol.viscosity(which, x, kelvin) * 1e3 == pytest.approx(float(row["mu_mPa_s"]), rel=1e-5)
    assert glycol.freezing_point(which, x) - ICE == pytest.approx(float(row["freeze_C"]), abs=1e-4)


def test_three_mixtures_to_all_digits() -> None:
    # Source: CoolProp 8.0.0, own evaluation of the polynomials equal to it. Status: computed.
    eg, pg = Glycol.ETHYLENE, Glycol.PROPYLENE
    assert glycol.density(eg, 0.30, 293.15) == pytest.approx(1038.0455, rel=1e-6)
    assert glycol.heat_capacity(eg, 0.30, 293.15) == pytest.approx(3718.25, rel=1e-5)
    assert glycol.viscosity(eg, 0.30, 293.15) == pytest.approx(2.16645e-3, rel=1e-5)
    assert glycol.freezing_point(eg, 0.30) - ICE == pytest.approx(-14.57578, rel=1e-5)
    assert glycol.density(eg, 0.50, 313.15) == pytest.approx(1053.44077, rel=1e-7)
    assert glycol.density(pg, 0.30, 333.15) == pytest.approx(1001.1528, rel=1e-5)
    assert glycol.heat_capacity(pg, 0.30, 333.15) == pytest.approx(3962.34, rel=1e-5)
    assert glycol.viscosity(pg, 0.30, 333.15) == pytest.approx(0.994579e-3, rel=1e-5)
    assert glycol.freezing_point(pg, 0.30) - ICE == pytest.approx(-12.78910, rel=1e-5)


@settings(deadline=None, max_examples=60)
@given(st.sampled_from(["MEG", "MPG"]), st.floats(0.01, 0.60), st.floats(0.0, 1.0))
def test_everywhere_in_the_range_it_agrees_with_the_library(code: str, x: float, share: float) -> None:
    # Source: CoolProp 8.0.0. Status: reference library.
    which, fluid = BY_CODE[code], f"INCOMP::{code}[{x!r}]"
    lowest = glycol.freezing_point(which, x)
    assert lowest == pytest.approx(coolprop("T_freeze", "T", 300, "P", 101_325, fluid), rel=1e-9)
    kelvin = lowest + 0.01 + share * (373.0 - lowest)
    assert glycol.density(which, x, kelvin) == pytest.approx(coolprop("D", "T", kelvin, "P", 2e5, fluid), rel=1e-9)
    assert glycol.heat_capacity(which, x, kelvin) == pytest.approx(
        coolprop("C", "T", kelvin, "P", 2e5, fluid), rel=1e-9
    )
    assert glycol.viscosity(which, x, kelvin) == pytest.approx(coolprop("V", "T", kelvin, "P", 2e5, fluid), rel=1e-9)


def test_no_glycol_is_water_and_not_the_end_of_a_fit() -> None:
    # Source: IAPWS-95 998.2072 against 997.349, the fit of CoolProp's MEG at 0 and 20 °C. Status: computed.
    for which in Glycol:
        assert glycol.density(which, 0.0, 293.15) == water.density(293.15)
        assert glycol.heat_capacity(which, 0.0, 293.15) == water.heat_capacity(293.15)
        assert glycol.viscosity(which, 0.0, 293.15) == water.viscosity(293.15)
        assert glycol.freezing_point(which, 0.0) == ICE
        step = glycol.density(which, 1e-9, 293.15) - glycol.density(which, 0.0, 293.15)
        assert abs(step) < 0.9
    assert glycol.density(Glycol.ETHYLENE, 1e-9, 293.15) == pytest.approx(997.349, abs=1e-3)


@pytest.mark.parametrize(
    ("which", "percent", "kg_m3"),
    [
        (Glycol.ETHYLENE, 10, (1013.34, 1006.01, 996.72)),
        (Glycol.ETHYLENE, 30, (1045.25, 1036.78, 1026.36)),
        (Glycol.ETHYLENE, 50, (1073.35, 1063.66, 1052.04)),
        (Glycol.PROPYLENE, 10, (1008.13, 1000.46, 990.82)),
        (Glycol.PROPYLENE, 30, (1028.35, 1018.42, 1006.44)),
        (Glycol.PROPYLENE, 50, (1042.87, 1030.98, 1017.04)),
    ],
)
def test_another_published_set_lies_less_than_one_per_cent_higher(
    which: Glycol, percent: float, kg_m3: tuple[float, float, float]
) -> None:
    # Source: ASHRAE Handbook Fundamentals 2001 (by volume, inhibited fluids) as transcribed by Skovrup, 20/40/60 °C.
    # Status: read.
    x = mass_from_volume_fraction(which, percent / 100)
    for celsius, table in zip((20, 40, 60), kg_m3, strict=True):
        own = glycol.density(which, x, celsius + ICE)
        assert 0 < table / own - 1 < 0.009


def test_the_other_set_is_the_one_that_the_library_carries() -> None:
    # Source: table 1073.35 kg/m3 read, CoolProp AEG at 0.50 by volume 1073.348. Status: read and computed.
    assert coolprop("D", "T", 293.15, "P", 101_325, "INCOMP::AEG[0.5]") == pytest.approx(1073.35, rel=1e-4)


@settings(deadline=None)
@given(st.sampled_from(Glycol), st.floats(0.0, 0.59), st.floats(280.0, 370.0))
def test_more_glycol_is_denser_thicker_and_freezes_lower(which: Glycol, x: float, kelvin: float) -> None:
    # Source: sign of every published table of these mixtures in this range. Status: common knowledge.
    richer = x + 0.01
    assert glycol.freezing_point(which, richer) < glycol.freezing_point(which, x)
    assert glycol.viscosity(which, richer, kelvin) > glycol.viscosity(which, x, kelvin)
    if x > 0:
        assert glycol.density(which, richer, kelvin) > glycol.density(which, x, kelvin)


@pytest.mark.parametrize(
    ("x", "kelvin", "words"),
    [
        (0.61, 293.15, r"mass_fraction must be between 0 and 0\.6, not 0\.61"),
        (-0.01, 293.15, "mass_fraction must be between"),
        (30.0, 293.15, "mass_fraction must be between 0 and 0.6, not 30"),
        (float("nan"), 293.15, "mass_fraction must be a finite number"),
        (0.30, 260.0, r"temperature_k 260 is below the freezing point of this mixture, 260\.36"),
        (0.30, 374.0, "temperature_k must be between"),
        (0.30, 22.0, "below the freezing point"),
        (0.30, float("nan"), "temperature_k must be a finite number"),
    ],
)
def test_what_was_not_published_is_refused_in_one_line(x: float, kelvin: float, words: str) -> None:
    for formula in (glycol.density, glycol.heat_capacity, glycol.viscosity):
        with pytest.raises(ValueError, match=words) as refused:
            formula(Glycol.PROPYLENE, x, kelvin)
        assert "\n" not in str(refused.value)
