"""Amounts from cups, marks and scales, and bad input that is refused before anything is stored."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.base.errors import InputError
from commission.physics.loop_volume import Uncertain
from commission.stages.fill.judge.dose import check_against_bottle, dose_by_level, dose_by_volume, dose_by_weight
from commission.stages.fill.judge.liquid import WATER, Liquid, check_temperature, density_of, expansion, liquid_of
from commission.stages.fill.model.coolant import Base, Basis
from commission.stages.fill.model.fill import Way
from tests.fills import EG_PREMIX, MYSTERY, PREMIX, READY, bottle

BENCH = Uncertain(295.15, 2.0)
BEFORE, AFTER = Uncertain(1.1846, 0.3e-3), Uncertain(0.5312, 0.3e-3)


def test_a_weighed_bottle_of_premix() -> None:
    # Source: 653.4 g over 1022.855 kg/m3 (CoolProp 8.0.0, MPG 0.30 at 22 °C); parts 0.4148, 0.5971, 1.0801 mL, combined
    # 1.3020 mL by JCGM 100, here with the 0.5 % that a density without a data sheet is open to. Status: computed.
    premix = bottle(Base.PROPYLENE_GLYCOL, 0.30, u_fraction=0.02)
    dose = dose_by_weight(liquid_of(premix), BEFORE, AFTER, BENCH)
    assert dose.volume_m3 * 1e6 == pytest.approx(638.800, abs=0.01)
    assert dose.u_reading_m3 * 1e6 == pytest.approx(0.4148, rel=1e-3)
    assert dose.u_shared_m3 * 1e6 == pytest.approx(math.hypot(0.5971, 1.0801, 0.005 * 638.8), rel=0.01)
    assert dose.mass_kg == pytest.approx(0.6534)
    assert dose.way is Way.WEIGHED


def test_the_makers_density_comes_before_the_tables() -> None:
    # Source: hand calculation, 653.4 g over 1030 kg/m3 at the same temperature.
    own = bottle(Base.PROPYLENE_GLYCOL, 0.30, density_kg_m3=1030.0, density_k=295.15, u_density_kg_m3=1.0)
    dose = dose_by_weight(liquid_of(own), BEFORE, AFTER, Uncertain(295.15))
    assert dose.volume_m3 * 1e6 == pytest.approx(653.4e3 / 1030.0, abs=1e-3)
    assert dose.u_shared_m3 / dose.volume_m3 == pytest.approx(1.0 / 1030.0, rel=1e-6)


def test_a_data_sheet_density_is_carried_to_the_temperature_of_the_bottle() -> None:
    # Source: MPG 0.30 grows by 1.021549 % from 20 to 40 °C (CoolProp 8.0.0). Status: computed.
    own = bottle(Base.PROPYLENE_GLYCOL, 0.30, density_kg_m3=1030.0)
    density = density_of(liquid_of(own), Uncertain(313.15))
    assert density is not None
    assert density.value == pytest.approx(1030.0 / 1.01021549, rel=1e-6)


def test_a_cup_of_water_weighs_almost_its_millilitres() -> None:
    # Source: IAPWS-95, 998.2072 kg/m3 at 20 °C. Status: computed.
    dose = dose_by_volume(WATER, Uncertain(250e-6, 2e-6), Uncertain(293.15))
    assert dose.mass_kg is not None
    assert dose.mass_kg * 1e3 == pytest.approx(249.55, abs=0.01)
    assert dose.u_volume_m3 * 1e6 == pytest.approx(math.hypot(2.0, 5.0))


def test_two_marks_on_a_bottle() -> None:
    dose = dose_by_level(WATER, Uncertain(1e-3, 3e-6), Uncertain(0.4e-3, 4e-6), Uncertain(293.15))
    assert dose.volume_m3 * 1e6 == pytest.approx(600.0)
    assert dose.u_reading_m3 * 1e6 == pytest.approx(5.0)


def test_what_nobody_knows_can_be_poured_by_volume_but_not_by_weight() -> None:
    unknown = liquid_of(MYSTERY)
    assert dose_by_volume(unknown, Uncertain(100e-6), BENCH).mass_kg is None
    with pytest.raises(InputError, match="the density of this liquid is unknown, so a weight gives no volume"):
        dose_by_weight(unknown, BEFORE, AFTER, BENCH)


def test_a_ready_mix_is_weighed_with_its_makers_density() -> None:
    # Source: hand calculation, 653.4 g over 1035 kg/m3 at 20 °C.
    dose = dose_by_weight(liquid_of(READY), BEFORE, AFTER, Uncertain(293.15))
    assert dose.volume_m3 * 1e6 == pytest.approx(653.4e3 / 1035.0, abs=1e-3)


def test_a_share_by_volume_is_turned_into_one_by_mass_with_more_doubt() -> None:
    # Source: ASHRAE table, 50 % by volume of ethylene glycol are 52.4 % by mass. Status: read.
    by_volume = liquid_of(bottle(Base.ETHYLENE_GLYCOL, 0.50, basis=Basis.VOLUME))
    by_mass = liquid_of(bottle(Base.ETHYLENE_GLYCOL, 0.50))
    assert by_volume.mass_fraction == pytest.approx(0.524, abs=5e-4)
    assert by_mass.mass_fraction == 0.50
    assert by_volume.u_mass_fraction > by_mass.u_mass_fraction


def test_a_concentrate_needs_its_data_sheet_unless_it_is_pure() -> None:
    # Source: pure ethylene glycol at 20 °C 1113.389 kg/m3 (thermo 0.6.1). Status: computed.
    pure = density_of(liquid_of(bottle(Base.ETHYLENE_GLYCOL, 1.0)), Uncertain(293.15))
    assert pure is not None
    assert pure.value == pytest.approx(1113.389, rel=4e-4)
    assert density_of(liquid_of(bottle(Base.ETHYLENE_GLYCOL, 0.93)), Uncertain(293.15)) is None
    sheet = liquid_of(bottle(Base.ETHYLENE_GLYCOL, 0.93, density_kg_m3=1115.0))
    assert density_of(sheet, Uncertain(293.15)) == Uncertain(1115.0, 2.0)


def test_an_unknown_coolant_swells_somewhere_between_water_and_strong_glycol() -> None:
    # Source: 20 to 60 °C, water 1.526789 %, MPG 0.50 2.830732 % (CoolProp 8.0.0). Status: computed.
    grown = expansion(liquid_of(MYSTERY), 293.15, 333.15)
    assert grown.value - 2 * grown.u < 1.01526789
    assert grown.value + 2 * grown.u > 1.02830732


@settings(deadline=None)
@given(st.floats(0.05, 5.0), st.floats(0.001, 0.9), st.floats(273.5, 370.0))
def test_weighing_and_pouring_the_same_amount_agree(kg: float, share: float, kelvin: float) -> None:
    # Source: conservation of mass.
    liquid = liquid_of(PREMIX)
    weighed = dose_by_weight(liquid, Uncertain(kg), Uncertain(kg * share), Uncertain(kelvin))
    poured = dose_by_volume(liquid, Uncertain(weighed.volume_m3), Uncertain(kelvin))
    assert poured.mass_kg == pytest.approx(weighed.mass_kg, rel=1e-9)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: dose_by_weight(WATER, AFTER, BEFORE, BENCH), "nothing came out; type the weight before first"),
        (lambda: dose_by_weight(WATER, BEFORE, Uncertain(-0.001), BENCH), "a weight below 0"),
        (lambda: dose_by_weight(WATER, Uncertain(900.0), Uncertain(0.5), BENCH), "more than any loop holds"),
        (lambda: dose_by_weight(WATER, Uncertain(math.nan), AFTER, BENCH), "nothing came out"),
        (lambda: dose_by_level(WATER, Uncertain(4e-4), Uncertain(1e-3), BENCH), "type the mark before first"),
        (lambda: dose_by_level(WATER, Uncertain(4e-4), Uncertain(-1e-4), BENCH), "cannot hold less than nothing"),
        (lambda: dose_by_volume(WATER, Uncertain(0.0), BENCH), "an amount must be above 0"),
        (lambda: dose_by_volume(WATER, Uncertain(-1e-4), BENCH), "an amount must be above 0"),
        (lambda: dose_by_volume(WATER, Uncertain(0.25), BENCH), "250 L at once is more than any loop holds"),
        (lambda: dose_by_volume(WATER, Uncertain(1e-4), Uncertain(268.15)), "-5 °C is below the freezing point"),
        (lambda: dose_by_volume(WATER, Uncertain(1e-4), Uncertain(22.0)), "-251.1 °C is below the freezing point"),
        (lambda: dose_by_volume(WATER, Uncertain(1e-4), Uncertain(400.0)), "above 100 °C"),
        (lambda: check_temperature(liquid_of(EG_PREMIX), 255.15), "-18 °C is below the freezing point .* -14.6 °C"),
        (lambda: check_temperature(liquid_of(MYSTERY), 20.0), "below the freezing point"),
        (lambda: check_temperature(WATER, math.nan), "below the freezing point"),
        (
            lambda: liquid_of(bottle(Base.ETHYLENE_GLYCOL, 0.70, basis=Basis.VOLUME)),
            "70 % by volume is above the published table",
        ),
    ],
)
def test_bad_input_is_refused_in_one_clear_line(call: object, words: str) -> None:
    assert callable(call)
    with pytest.raises(InputError, match=words) as refused:
        call()
    assert "\n" not in str(refused.value)


def test_a_bottle_gives_no_more_than_is_in_it() -> None:
    dose = dose_by_volume(WATER, Uncertain(600e-6), Uncertain(293.15), cup_u=0.01)
    check_against_bottle(dose, 580e-6)  # within the doubt of the cup
    with pytest.raises(InputError, match="has 400 mL left as logged, not 600 mL; type less, or add a bottle"):
        check_against_bottle(dose, 400e-6)
    with pytest.raises(InputError, match="gave 5 mL more than it held as logged; type less"):
        check_against_bottle(dose, -5e-6)


def test_a_liquid_without_a_label_has_nothing_published() -> None:
    assert not Liquid(glycol=None, mass_fraction=None).published
    assert not liquid_of(bottle(Base.ETHYLENE_GLYCOL, 1.0)).published
    assert liquid_of(PREMIX).published
