"""Leak-rate units against ASTM E499 and the ideal gas law."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.physics.leak_units import (
    molar_rate,
    rate_from_molar,
    rate_from_standard_cm3_per_min,
    standard_cm3_per_min,
)
from tests.data.read import expected


def test_a_hundred_millionth_standard_cubic_centimetre_a_second() -> None:
    # Source: ASTM E499-95(2000), scope: 1e-8 std cm3/s is 4.5e-13 mol/s. Status: read; 4.461503e-13 computed.
    q = rate_from_standard_cm3_per_min(60 * 1e-8, 273.15, 273.15)
    assert molar_rate(q, 273.15) == pytest.approx(4.5e-13, rel=1e-2)
    assert molar_rate(q, 273.15) == pytest.approx(4.461503e-13, rel=1e-6)


@pytest.mark.parametrize(
    ("standard_k", "cm3_min"),
    [(273.15, 0.0551754577), (293.15, 0.0592153960), (298.15, 0.0602253806)],
)
def test_a_leak_rate_in_three_kinds_of_standard_cubic_centimetres(standard_k: float, cm3_min: float) -> None:
    # Source: ideal gas, 1.0e-3 mbar·L/s at 293.15 K. Status: computed.
    assert standard_cm3_per_min(1e-4, 293.15, standard_k) == pytest.approx(cm3_min, rel=1e-8)


def test_the_same_leak_rate_in_moles() -> None:
    # Source: as above. Status: computed.
    assert molar_rate(1e-4, 293.15) == pytest.approx(4.10275815e-8, rel=1e-8)


@pytest.mark.parametrize(("standard_k", "ratio"), [(293.15, 1.073219843), (298.15, 1.091524803)])
def test_the_choice_of_standard_is_worth_seven_to_nine_per_cent(standard_k: float, ratio: float) -> None:
    # Source: ratio of temperatures to 273.15 K. Status: computed.
    zero = standard_cm3_per_min(1e-4, 293.15, 273.15)
    assert standard_cm3_per_min(1e-4, 293.15, standard_k) / zero == pytest.approx(ratio, rel=1e-9)


def test_one_pascal_cubic_metre_a_second_in_atmospheres() -> None:
    # Source: 1 Pa·m3/s = 9.869232667 atm·cm3/s at the same gas temperature (definition of the atmosphere).
    assert standard_cm3_per_min(1.0, 300.0, 300.0) / 60 == pytest.approx(9.869232667, rel=1e-10)


def test_the_leak_of_the_day_long_table_in_other_words() -> None:
    # Source: mpmath, from the comment line of the table. Status: computed.
    q = expected("masspoint_oracle", "expected Q, s(Q)")[0] * 0.1
    got = [standard_cm3_per_min(q, 293.15, t) for t in (273.15, 293.15, 298.15)] + [molar_rate(q, 293.15)]
    assert got == pytest.approx(expected("masspoint_oracle", "expected Q in std"), rel=1e-9)


@settings(deadline=None)
@given(st.floats(-1, 1), st.floats(250, 350), st.floats(250, 350))
def test_each_conversion_comes_back(q: float, gas_k: float, standard_k: float) -> None:
    assert rate_from_molar(molar_rate(q, gas_k), gas_k) == pytest.approx(q, rel=1e-12)
    flow = standard_cm3_per_min(q, gas_k, standard_k)
    assert rate_from_standard_cm3_per_min(flow, standard_k, gas_k) == pytest.approx(q, rel=1e-12)


@settings(deadline=None)
@given(st.floats(1e-9, 1), st.floats(250, 350), st.floats(250, 350))
def test_the_same_gas_leaks_more_volume_when_it_is_warmer_but_not_more_moles(
    q: float, cool: float, other: float
) -> None:
    mol = molar_rate(q, cool)
    assert rate_from_molar(mol, other) / q == pytest.approx(other / cool, rel=1e-12)
