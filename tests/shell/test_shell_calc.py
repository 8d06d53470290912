"""The calculators of the shell, held against reference libraries and hand calculations.

Outside: CoolProp 8 (Melinder's mixtures ``MPG`` and ``MEG``, by mass), iapws (IAPWS-95), and
arithmetic written out here. Status of each number: computed.
"""

import json
import math
import time
from typing import Any

import pytest

from tests.reference import coolprop, iapws95
from tests.shell.running import called, one_line, ran

ATM_PA = 101_325.0
KELVIN = 273.15


def told(*arguments: str, status: int = 0) -> dict[str, Any]:
    """Return the one JSON object that a calculator prints."""
    done = called("calc", *arguments, "--json")
    assert (done.status, done.err) == (status, "")
    (line,) = done.lines
    found: dict[str, Any] = json.loads(line)
    return found


# --- coolant ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("base", "fluid"), [("propylene-glycol", "MPG"), ("Ethylene Glycol", "MEG")])
@pytest.mark.parametrize("fraction", [0.1, 0.30, 0.5])
@pytest.mark.parametrize("celsius", [20.0, 22.0, 60.0])
def test_a_mixture_has_the_published_properties(base: str, fluid: str, fraction: float, celsius: float) -> None:
    found = told("coolant", "--base", base, "--mass-fraction", f"{fraction}", "--temp", f"{celsius} degC")
    name, at_k = f"INCOMP::{fluid}[{fraction}]", celsius + KELVIN
    assert found["density_kg_m3"] == pytest.approx(coolprop("D", "T", at_k, "P", ATM_PA, name), rel=1e-9)
    assert found["heat_capacity_j_kg_k"] == pytest.approx(coolprop("C", "T", at_k, "P", ATM_PA, name), rel=1e-9)
    assert found["viscosity_pa_s"] == pytest.approx(coolprop("V", "T", at_k, "P", ATM_PA, name), rel=1e-9)
    assert found["freezing_k"] == pytest.approx(coolprop("T_FREEZE", "T", at_k, "P", ATM_PA, name), abs=1e-6)
    assert found["volume_m3"] is None


def test_water_has_the_properties_of_iapws_95() -> None:
    found = told("coolant", "--base", "water", "--temp", "22 degC", "--weight", "653.4 g")
    water = iapws95(T=295.15, P=ATM_PA / 1e6)
    assert found["density_kg_m3"] == pytest.approx(water.rho, abs=0.006)  # stated width of the formula used
    assert found["heat_capacity_j_kg_k"] == pytest.approx(water.cp * 1e3, abs=0.5)
    assert found["viscosity_pa_s"] == pytest.approx(water.mu, rel=5e-4)
    assert (found["freezing_k"], found["mass_fraction"]) == (273.15, 0.0)
    assert found["volume_m3"] == pytest.approx(0.6534 / water.rho, rel=1e-5)


def test_a_weighed_bottle_comes_to_a_volume() -> None:
    # Hand calculation: 653.4 g over 1022.855 kg/m3 (CoolProp 8.0.0, MPG 0.30, 22 °C) are 638.800 mL.
    found = told(
        "coolant", "--base", "propylene-glycol", "--mass-fraction", "30 %", "--temp", "22 degC", "--weight", "653,4 g"
    )
    assert found["volume_m3"] == pytest.approx(638.800e-6, abs=1e-9)


def test_a_share_by_volume_is_another_than_one_by_mass() -> None:
    # Source: ASHRAE 2001 by Skovrup, as CoolProp lists them: 47.6 % of ethylene glycol by volume are 50 % by mass.
    found = told("coolant", "--base", "ethylene-glycol", "--volume-fraction", "47.6 %", "--temp", "20 degC")
    assert found["mass_fraction"] == pytest.approx(0.50, abs=0.003)


# --- mix -------------------------------------------------------------------------------------------------------------


def test_a_premix_is_thinned_by_the_square() -> None:
    # Pearson's square by hand: 0.30 between 0.45 and 0: 2 kg take 30/45 of premix.
    found = told(
        "mix", "--base", "propylene-glycol", "--target", "30 %", "--by", "mass", "--concentrate", "45 %",
        "--total", "2 kg",
    )  # fmt: skip
    assert found["concentrate_kg"] == pytest.approx(4 / 3)
    assert found["diluent_kg"] == pytest.approx(2 / 3)
    mixture = coolprop("D", "T", 293.15, "P", ATM_PA, "INCOMP::MPG[0.3]")
    assert found["total_m3"] == pytest.approx(2 / mixture, rel=1e-9)
    assert found["freezing_k"] == pytest.approx(KELVIN - 12.7891, abs=1e-4)  # CoolProp 8.0.0, MPG 0.30


def test_two_litres_are_two_litres_after_mixing_and_more_before() -> None:
    found = told("mix", "--base", "ethylene-glycol", "--target", "0.30", "--by", "mass", "--total", "2 L")
    mixture = coolprop("D", "T", 293.15, "P", ATM_PA, "INCOMP::MEG[0.3]")
    pure = 1113.389  # ethylene glycol at 20 °C, thermo 0.6.1; published values differ by 3e-4
    water = water_density(293.15)
    kg = 2e-3 * mixture
    before = 0.3 * kg / pure + 0.7 * kg / water
    assert found["total_m3"] == pytest.approx(2e-3)
    assert found["concentrate_m3"] + found["diluent_m3"] == pytest.approx(before, rel=2e-4)
    assert found["contraction"] == pytest.approx(1 - 2e-3 / before, abs=1.5e-4)


# --- headspace -------------------------------------------------------------------------------------------------------


def water_density(kelvin: float) -> float:
    """Return the density of water under one atmosphere by IAPWS-95 [kg/m3]."""
    return float(iapws95(T=kelvin, P=ATM_PA / 1e6).rho)


def vapour_pressure(kelvin: float) -> float:
    """Return the vapour pressure of water by IAPWS-95 [Pa]."""
    return float(iapws95(T=kelvin, x=0).P) * 1e6


def gauge_by_hand(total: float, liquid: float, cold: float, hot: float) -> float:
    """Return the gauge pressure of warmed water in a closed loop: gas law and steam tables alone [Pa]."""
    grown = liquid * water_density(cold) / water_density(hot)
    dry = ATM_PA - vapour_pressure(cold)
    squeezed = dry * (total - liquid) / (total - grown) * hot / cold
    return squeezed + vapour_pressure(hot) - ATM_PA


CLOSED = ("headspace", "--volume", "1000 mL", "--base", "water", "--from", "20 degC")


@pytest.mark.parametrize(("liquid", "hot"), [(950, 40), (950, 60), (950, 10), (980, 60)])
def test_a_closed_loop_comes_to_the_pressure_of_the_gas_law(liquid: int, hot: int) -> None:
    found = told(*CLOSED, "--liquid", f"{liquid} mL", "--to", f"{hot} degC")
    assert found["gauge_pa"] == pytest.approx(
        gauge_by_hand(1e-3, liquid * 1e-6, 293.15, hot + KELVIN), abs=30, rel=2e-4
    )
    assert "error" not in found
    assert found["headspace_needed_m3"] is None


def test_the_headspace_that_is_needed_keeps_the_limit() -> None:
    found = told(*CLOSED, "--liquid", "950 mL", "--to", "60 degC", "--rating", "50 kPa")
    needed = found["headspace_needed_m3"]
    assert needed == pytest.approx(100.897e-6, abs=0.02e-6)  # CoolProp 8.0.0
    assert gauge_by_hand(950e-6 + needed, 950e-6, 293.15, 333.15) == pytest.approx(50e3, abs=30)


@pytest.mark.parametrize("liquid", ["990 mL", "1 L"])
def test_a_liquid_full_loop_is_an_error_and_never_a_number(liquid: str) -> None:
    # By hand: 990 mL of water at 20 °C need 1005.1 mL at 60 °C.
    found = told(*CLOSED, "--liquid", liquid, "--to", "60 degC", "--rating", "50 kPa", status=1)
    assert "fills the whole loop" in found["error"]
    assert "gauge_pa" not in found
    plain = called("calc", *CLOSED, "--liquid", liquid, "--to", "60 degC")
    assert plain.status == 1
    assert plain.lines[0].startswith("error: ")


def test_where_no_headspace_is_enough_it_says_so() -> None:
    # By hand: moist air alone goes from 101.3 kPa to (101.325 - 2.339)·333.15/293.15 + 19.946 kPa: +31.1 kPa.
    asked = (*CLOSED, "--liquid", "950 mL", "--to", "60 degC", "--rating", "30 kPa")
    assert told(*asked)["headspace_needed_m3"] is None
    assert called("calc", *asked).lines[-1] == "headspace needed: none is enough"


# --- bleed -----------------------------------------------------------------------------------------------------------


def test_a_row_that_shrinks_evenly_is_summed_to_its_end() -> None:
    # Hand calculation: slope of the logarithms of 120, 42, 15, 5.2 is −1.0446119: 5.2·r/(1 − r) = 2.822566 mL; with the
    # last reading off by 2 mL alone the rest spans 0.868 to 6.646 mL, so no narrower bounds may be told.
    found = told("bleed", "120 mL", "42 mL", "15 mL", "5.2 mL", "--error", "2 mL")
    assert found["state"] == "converging"
    rest = found["remaining_m3"]
    assert rest["best"] == pytest.approx(2.822566e-6, rel=1e-6)
    assert rest["low"] <= 0.868e-6
    assert rest["high"] >= 6.646e-6
    assert found["ratio"] == pytest.approx(math.exp(-1.0446119), rel=1e-6)


@pytest.mark.parametrize(
    ("amounts", "state"),
    [(("30 mL", "12 mL", "11 mL", "12.5 mL"), "not converging"), (("30 mL", "9 mL"), "too few"), (("1 L",), "too few")],
)
def test_what_cannot_be_bounded_has_no_figures(amounts: tuple[str, ...], state: str) -> None:
    found = told("bleed", *amounts, "--error", "2 mL")
    assert (found["state"], found["remaining_m3"]) == (state, None)


def test_a_top_up_of_nothing_may_be_typed() -> None:
    found = told("bleed", "40 mL", "12 mL", "0 mL", "--error", "1 mL")
    assert found["remaining_m3"]["low"] == 0
    assert found["remaining_m3"]["high"] >= 1e-6  # what one reading may hide


# --- volume ----------------------------------------------------------------------------------------------------------


def test_strokes_measure_a_loop() -> None:
    # Boyle by hand: 5·60 mL·1013.25/250 = 1.2159 L; √((0.5/60)² + (1/1013.25)² + (1.5/250)²)/2 of it: ± is 95 %.
    found = told(
        "volume", "--stroke", "60 mL +- 0.5 mL", "--strokes", "5", "--rise", "250 mbar +- 1.5 mbar",
        "--barometer", "1013.25 mbar +- 1 mbar",
    )  # fmt: skip
    assert found["volume_m3"] == pytest.approx(1.2159e-3)
    relative = math.hypot(0.5 / 60, 1 / 1013.25, 1.5 / 250) / 2  # JCGM 100:2008, 6.3.3
    assert found["u_volume_m3"] == pytest.approx(1.2159e-3 * relative)
    assert found["assumed"] == []


def test_what_was_not_typed_is_assumed_and_said() -> None:
    found = told("volume", "--stroke", "60 mL", "--strokes", "5", "--rise", "250 mbar", "--barometer", "1013.25 mbar")
    assert found["volume_m3"] == pytest.approx(1.2159e-3)
    assert found["u_volume_m3"] > 0
    assert len(found["assumed"]) == 3


# --- bad input, speed ------------------------------------------------------------------------------------------------

PG = ("coolant", "--base", "propylene-glycol")
MIX = ("mix", "--base", "ethylene-glycol", "--total", "2 L")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((*PG, "--temp", "20 degC"), "--mass-fraction or --volume-fraction"),
        ((*PG, "--temp", "20 degC", "--mass-fraction", "0.3", "--volume-fraction", "0.3"), "one of them"),
        ((*PG, "--temp", "20 degC", "--mass-fraction", "0.7"), "nothing is extrapolated"),
        ((*PG, "--temp", "20 degC", "--mass-fraction", "30"), '"30 %"'),
        ((*PG, "--temp", "20 degC", "--mass-fraction=-0.1"), "no share"),
        ((*PG, "--temp", "20 degC", "--volume-fraction", "0.9"), "above the published table"),
        ((*PG, "--temp=-30 degC", "--mass-fraction", "0.3"), "below the freezing point"),
        ((*PG, "--temp", "101 degC", "--mass-fraction", "0.3"), "above 100"),
        ((*PG, "--temp", "20", "--mass-fraction", "0.3"), "no unit"),
        ((*PG, "--temp", "20 degC", "--mass-fraction", "0.3", "--weight", "0 g"), "not above 0"),
        ((*PG, "--temp", "20 degC", "--mass-fraction", "0.3", "--weight", "250 mL"), "unit of volume"),
        (("coolant", "--base", "water", "--mass-fraction", "0.1", "--temp", "20 degC"), "holds no glycol"),
        (("coolant", "--base", "ready-mix", "--temp", "20 degC"), "no properties are published"),
        (("coolant", "--base", "honey", "--temp", "20 degC"), "propylene-glycol"),
        ((*MIX, "--target", "30 %"), "--by"),
        ((*MIX, "--target", "30 %", "--by", "mass", "--concentrate", "20 %"), "must lie between"),
        ((*MIX, "--target", "30 %", "--by", "mass", "--concentrate", "75 %"), "data sheet"),
        ((*MIX, "--target", "30 %", "--by", "mass", "--total", "40 fl oz"), "40 US fl oz or 40 imp fl oz"),
        ((*MIX, "--target", "30 %", "--by", "mass", "--total", "0 L"), "above 0"),
        (("mix", "--base", "water", "--total", "2 L", "--target", "0.3", "--by", "mass"), "not mixed"),
        ((*CLOSED, "--liquid", "1100 mL", "--to", "60 degC"), "do not fit"),
        ((*CLOSED, "--liquid", "950 mL", "--to", "110 degC"), "above 100"),
        ((*CLOSED, "--liquid", "950 mL", "--to=-1 degC"), "0 to 100 degC"),
        ((*CLOSED, "--liquid", "950 mL", "--to", "60 degC", "--rating", "0 kPa"), "not above 0"),
        (("bleed", "120 mL", "5 fl oz", "--error", "2 mL"), "5 US fl oz or 5 imp fl oz"),
        (("bleed", "120", "5 mL", "--error", "2 mL"), "no unit"),
        (("bleed", "120 mL"), "--error"),
        (("volume", "--stroke", "60 mL", "--strokes", "0", "--rise", "1 bar", "--barometer", "1 bar"), "--strokes"),
        (("volume", "--stroke", "60 mL", "--strokes", "5", "--rise=-1 bar", "--barometer", "1 bar"), "not above 0"),
    ],
)
def test_bad_input_is_one_line_that_says_what_to_do(arguments: tuple[str, ...], said: str) -> None:
    done = called("calc", *arguments)
    assert (done.status, done.out) == (2, "")
    assert said in one_line(done.err)


def test_a_calculator_loads_no_logbook_and_runs_as_a_process() -> None:
    done = ran("calc", *CLOSED, "--liquid", "950 mL", "--to", "60 degC", "--json")
    assert done.status == 0
    assert json.loads(done.out)["gauge_pa"] == pytest.approx(77.08e3, abs=30)  # CoolProp 8.0.0


@pytest.mark.parametrize(
    "arguments",
    [
        (*PG, "--mass-fraction", "0.3", "--temp", "22 degC"),
        (*MIX, "--target", "30 %", "--by", "mass"),
        (*CLOSED, "--liquid", "950 mL", "--to", "60 degC", "--rating", "50 kPa"),
        ("bleed", "120 mL", "42 mL", "15 mL", "5.2 mL", "--error", "2 mL"),
        ("volume", "--stroke", "60 mL", "--strokes", "5", "--rise", "250 mbar", "--barometer", "1013.25 mbar"),
    ],
    ids=lambda arguments: str(arguments[0]),
)
def test_a_calculator_answers_within_five_milliseconds_once_loaded(arguments: tuple[str, ...]) -> None:
    called("calc", *arguments, "--json")
    took = []
    for _ in range(20):
        start = time.process_time()
        called("calc", *arguments, "--json")
        took.append(time.process_time() - start)
    assert min(took) < 5e-3
