"""Shares by mass and by volume, and pure glycol, against tables and libraries."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.physics import glycol
from commission.physics.glycol import Glycol
from commission.physics.glycol_fraction import (
    mass_from_volume_fraction,
    pure_density,
)

EG, PG = Glycol.ETHYLENE, Glycol.PROPYLENE


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


def test_fifty_by_volume_of_ethylene_glycol_is_more_by_mass() -> None:
    # Source: the same table, 49.6 → 52 and 50.6 → 53 interpolated. Status: read.
    assert mass_from_volume_fraction(EG, 0.50) * 100 == pytest.approx(52.4, abs=0.05)


@settings(deadline=None)
@given(st.sampled_from(Glycol), st.floats(0.02, 0.57))
def test_the_table_of_shares_fits_the_densities(which: Glycol, table: float) -> None:
    # Source: definition of both shares with the densities of mixture, pure glycol and water at 20 °C; the table must
    # lie between, or within one point of, the share before and after mixing. Status: computed.
    x = mass_from_volume_fraction(which, table)
    glycol_m3, water_m3 = x / pure_density(which, 293.15), (1 - x) / 998.2072
    before = glycol_m3 / (glycol_m3 + water_m3)
    after = glycol_m3 * glycol.density(which, x, 293.15)
    assert min(before, after) - 0.01 < table < max(before, after) + 0.01


def test_pure_glycol_is_pure_by_mass_and_by_volume() -> None:
    for which in Glycol:
        assert mass_from_volume_fraction(which, 1.0) == 1.0


@pytest.mark.parametrize(("which", "kg_m3"), [(EG, 1113.389), (PG, 1036.383)])
def test_pure_glycol_at_twenty_degrees(which: Glycol, kg_m3: float) -> None:
    # Source: thermo 0.6.1. Status: computed.
    assert pure_density(which, 293.15) == pytest.approx(kg_m3, rel=4e-4)


@pytest.mark.parametrize(
    ("kelvin", "kg_m3"),
    [(278.15, 1047.6454), (293.15, 1036.3644), (313.15, 1021.0914), (333.15, 1005.4839), (353.15, 989.4744)],
)
def test_pure_propylene_glycol_agrees_with_an_equation_of_state(kelvin: float, kg_m3: float) -> None:
    # Source: CoolProp 8.0.0, equation of state of propylene glycol at 101.325 kPa. Status: computed.
    assert pure_density(PG, kelvin) == pytest.approx(kg_m3, rel=1e-3)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: mass_from_volume_fraction(EG, 0.59), "volume_fraction must be between 0 and 0.578"),
        (lambda: mass_from_volume_fraction(PG, -0.1), "volume_fraction must be between"),
        (lambda: mass_from_volume_fraction(PG, float("nan")), "volume_fraction must be a finite number"),
        (lambda: pure_density(EG, 260.0), "temperature_k must be between"),
    ],
)
def test_what_no_table_holds_is_refused(call: object, words: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=words):
        call()
