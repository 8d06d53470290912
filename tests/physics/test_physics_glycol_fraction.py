"""Fractions from freezing point, hydrometer and label, and pure glycol, against tables and libraries."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.physics import glycol
from commission.physics.glycol import Glycol
from commission.physics.glycol_fraction import (
    fraction_for_density,
    fraction_for_freezing,
    mass_from_volume_fraction,
    pure_density,
    volume_from_mass_fraction,
)
from tests.reference import coolprop

EG, PG = Glycol.ETHYLENE, Glycol.PROPYLENE


@pytest.mark.parametrize(
    ("which", "celsius", "x"),
    [
        (EG, -10, 0.234962),
        (EG, -20, 0.362328),
        (EG, -30, 0.453886),
        (PG, -10, 0.253825),
        (PG, -20, 0.393854),
        (PG, -30, 0.484110),
    ],
)
def test_the_fraction_for_a_freezing_point(which: Glycol, celsius: float, x: float) -> None:
    # Source: inverted with CoolProp 8.0.0. Status: computed.
    assert fraction_for_freezing(which, celsius + 273.15) == pytest.approx(x, abs=1e-6)


@pytest.mark.parametrize(
    ("which", "kg_m3", "x"), [(EG, 1030, 0.242493), (PG, 1030, 0.371813), (EG, 1020, 0.170073), (PG, 1020, 0.257982)]
)
def test_a_hydrometer_at_twenty_degrees(which: Glycol, kg_m3: float, x: float) -> None:
    # Source: inverted with CoolProp 8.0.0. Status: computed.
    assert fraction_for_density(which, kg_m3, 293.15) == pytest.approx(x, abs=1e-6)


@settings(deadline=None)
@given(st.sampled_from(Glycol), st.floats(0.001, 0.6), st.floats(273.15, 373.15))
def test_forth_and_back_gives_the_same_fraction(which: Glycol, x: float, kelvin: float) -> None:
    assert fraction_for_freezing(which, glycol.freezing_point(which, x)) == pytest.approx(x, abs=1e-9)
    told = fraction_for_density(which, glycol.density(which, x, kelvin), kelvin)
    # Near no glycol the fit leaves water's density, and what lies between counts as water.
    assert told == pytest.approx(x, abs=1e-9) or (told == 0 and x < 0.01)


def test_a_hydrometer_in_water_reads_no_glycol() -> None:
    # Source: IAPWS-95, 998.2 kg/m3 at 20 °C. Status: computed.
    for which in Glycol:
        assert fraction_for_density(which, 998.2, 293.15) == 0


@pytest.mark.parametrize(
    ("which", "by_volume", "by_mass"),
    [
        (EG, 8.9, 10),
        (EG, 18.1, 20),
        (EG, 27.7, 30),
        (EG, 37.5, 40),
        (EG, 47.6, 50),
        (EG, 49.6, 52),
        (EG, 50.6, 53),
        (EG, 57.8, 60),
        (PG, 9.6, 10),
        (PG, 19.4, 20),
        (PG, 29.4, 30),
        (PG, 39.6, 40),
        (PG, 49.9, 50),
        (PG, 60, 60),
    ],
)
def test_the_table_of_shares_by_volume(which: Glycol, by_volume: float, by_mass: float) -> None:
    # Source: ASHRAE Handbook Fundamentals 2001 as transcribed by Skovrup. Status: read.
    assert mass_from_volume_fraction(which, by_volume / 100) == pytest.approx(by_mass / 100, abs=1e-9)
    assert volume_from_mass_fraction(which, by_mass / 100) == pytest.approx(by_volume / 100, abs=1e-9)


def test_fifty_by_volume_of_ethylene_glycol_is_more_by_mass() -> None:
    # Source: the same table, 49.6 → 52 and 50.6 → 53 interpolated. Status: read.
    assert mass_from_volume_fraction(EG, 0.50) * 100 == pytest.approx(52.4, abs=0.05)


@settings(deadline=None)
@given(st.sampled_from(Glycol), st.floats(0.0, 0.6))
def test_by_mass_and_by_volume_go_round(which: Glycol, x: float) -> None:
    assert mass_from_volume_fraction(which, volume_from_mass_fraction(which, x)) == pytest.approx(x, abs=1e-9)


@settings(deadline=None)
@given(st.sampled_from(Glycol), st.floats(0.02, 0.6))
def test_the_table_of_shares_fits_the_densities(which: Glycol, x: float) -> None:
    # Source: definition of both shares with the densities of mixture, pure glycol and water at 20 °C; the table must
    # lie between, or within one point of, the share before and after mixing. Status: computed.
    glycol_m3, water_m3 = x / pure_density(which, 293.15), (1 - x) / 998.2072
    before = glycol_m3 / (glycol_m3 + water_m3)
    after = glycol_m3 * glycol.density(which, x, 293.15)
    table = volume_from_mass_fraction(which, x)
    assert min(before, after) - 0.01 < table < max(before, after) + 0.01


def test_pure_glycol_is_pure_by_mass_and_by_volume() -> None:
    for which in Glycol:
        assert mass_from_volume_fraction(which, 1.0) == volume_from_mass_fraction(which, 1.0) == 1.0


@pytest.mark.parametrize(("which", "kg_m3"), [(EG, 1113.389), (PG, 1036.383)])
def test_pure_glycol_at_twenty_degrees(which: Glycol, kg_m3: float) -> None:
    # Source: thermo 0.6.1. Status: computed.
    assert pure_density(which, 293.15) == pytest.approx(kg_m3, rel=4e-4)


@pytest.mark.parametrize("kelvin", [278.15, 293.15, 313.15, 333.15, 353.15])
def test_pure_propylene_glycol_agrees_with_an_equation_of_state(kelvin: float) -> None:
    # Source: CoolProp 8.0.0, equation of state of propylene glycol at 101.325 kPa. Status: reference library.
    assert pure_density(PG, kelvin) == pytest.approx(
        coolprop("D", "T", kelvin, "P", 101_325, "PropyleneGlycol"), rel=1e-3
    )


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: fraction_for_freezing(PG, 200.0), "freezing_k must be between"),
        (lambda: fraction_for_freezing(PG, 274.0), "freezing_k must be between"),
        (lambda: fraction_for_density(PG, 1100.0, 293.15), "density_kg_m3 must be between"),
        (lambda: fraction_for_density(PG, 990.0, 293.15), "density_kg_m3 must be between"),
        (lambda: fraction_for_density(PG, 1.02, 293.15), "density_kg_m3 must be between"),
        (lambda: fraction_for_density(PG, 1020.0, 263.15), "temperature_k must be between"),
        (lambda: mass_from_volume_fraction(EG, 0.59), "volume_fraction must be between 0 and 0.578"),
        (lambda: mass_from_volume_fraction(PG, -0.1), "volume_fraction must be between"),
        (lambda: mass_from_volume_fraction(PG, float("nan")), "volume_fraction must be a finite number"),
        (lambda: volume_from_mass_fraction(PG, 0.8), "mass_fraction must be between"),
        (lambda: pure_density(EG, 260.0), "temperature_k must be between"),
    ],
)
def test_what_no_table_holds_is_refused(call: object, words: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=words):
        call()
