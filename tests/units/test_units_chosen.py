"""The units that a person chose: shown in their digits, typed back as they stand, and never where programs read.

Factors: NIST SP 811 (2008), appendix B.8, seven digits: 1 psi is 6894.757 Pa, 1 US fl oz 29.57353 mL, 1 US gal/min
6.309020e-5 m3/s; 1 in is 25.4 mm and a Fahrenheit step 5/9 K, both exact.
"""

import math
from collections.abc import Iterator

import pytest

from commission.base.errors import InputError
from commission.base.quantity import Amount, Phrase, Quantity
from commission.bench.figures import degrees, millilitres, millilitres_between, millilitres_good_to
from commission.units.chosen import (
    KINDS,
    Chosen,
    bare_unit,
    face_unit,
    in_house_units,
    read_units,
    told,
    unit_for,
    use_units,
    use_units_later,
)
from commission.units.lookup import find_unit
from commission.units.parse import parse
from commission.units.plausible import example
from commission.units.registry import scale
from commission.units.show import say, show
from commission.units.worded import worded

BENCH = "psi fl oz degF in gal/min"


@pytest.fixture(autouse=True)
def house_units() -> Iterator[None]:
    """Leave the units of the program to the next test."""
    yield
    use_units(Chosen())


def test_a_line_chooses_one_unit_of_each_kind_and_leaves_the_others() -> None:
    chosen = read_units("PSI, fl oz")
    assert (chosen.pressure, chosen.volume, chosen.temperature) == ("psi", "US fl oz", "")
    assert read_units("°F", chosen).text == "psi US fl oz degF"
    assert read_units("mbar", chosen).text == "US fl oz"
    assert read_units("default", chosen) == Chosen()
    assert read_units(chosen.text) == chosen
    assert told(read_units(BENCH)) == "amounts in psi, US fl oz, degF, in, US gal/min"


@pytest.mark.parametrize(
    ("text", "said"), [("psi bar", "two units of pressure"), ("psi furlong", '"furlong" is no unit'), ("", "mbar, bar")]
)
def test_a_line_that_chooses_nothing_is_refused_with_what_to_type(text: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        read_units(text)


@pytest.mark.parametrize(
    ("si", "quantity", "text"),
    [
        # 50 000 / 6894.757 = 7.2519: 1 mbar, the last digit of "500 mbar", is 0.0145 psi
        (50_000.0, Quantity.GAUGE_PRESSURE, "7.25 psi"),
        # 49 750 / 6894.757 = 7.21563: 0.1 mbar is 0.00145 psi
        (49_750.0, Quantity.GAUGE_PRESSURE, "7.216 psi"),
        (250.0, Quantity.PRESSURE_DIFFERENCE, "0.0363 psi"),  # 0.036260
        (101_325.0, Quantity.ABSOLUTE_PRESSURE, "14.7 psi"),  # 14.6959; 1 hPa is 0.0145 psi
        (294.45, Quantity.TEMPERATURE, "70.3 °F"),  # 21.3 x 1.8 + 32 = 70.34; 0.1 K is 0.18 °F
        (273.15, Quantity.TEMPERATURE, "32 °F"),
        (10.0, Quantity.TEMPERATURE_DIFFERENCE, "18 °F"),
        (1e-3, Quantity.VOLUME, "33.8 US fl oz"),  # 1000 / 29.57353 = 33.814
        (0.2, Quantity.LENGTH, "7.87 in"),  # 200 / 25.4 = 7.874
        (200e-3 / 3600, Quantity.FLOW, "0.881 US gal/min"),  # 5.5556e-5 / 6.309020e-5 = 0.88057
        (1e-3, Quantity.LEAK_RATE, "0.01 mbar·L/s"),  # the class of the limit is published in it
        (90.0, Quantity.DURATION, "1 min 30 s"),
    ],
)
def test_amounts_are_shown_in_the_chosen_unit_as_fine_as_they_were(si: float, quantity: Quantity, text: str) -> None:
    use_units(read_units(BENCH))
    assert show(si, quantity) == text


def test_a_step_of_the_display_gives_the_decimals_in_the_other_unit() -> None:
    use_units(read_units(BENCH))
    # 1 mbar is 0.0145 psi and needs two decimals; 0.1 mbar is 0.00145 psi and needs three; zeros are kept
    assert show(48_263.30, Quantity.GAUGE_PRESSURE, own="mbar", resolution=100.0) == "7.00 psi"
    assert show(48_263.30, Quantity.GAUGE_PRESSURE, own="mbar", resolution=10.0) == "7.000 psi"
    assert show(50_000.0, Quantity.GAUGE_PRESSURE, unit="mbar", resolution=10.0) == "500.0 mbar"  # what a face shows
    assert degrees(294.45) == "70.3 °F"
    # 1 mL is 0.034 US fl oz, 0.1 mL 0.0034: 968 / 29.57353 = 32.732, 2.8 / 29.57353 = 0.0947, 3 / 29.57 = 0.101
    assert millilitres(968e-6) == "32.73 US fl oz"
    assert millilitres(2.8e-6) == "0.095 US fl oz"
    assert millilitres_between(-3e-6, 72.6e-6) == "0 to 2.45 US fl oz"
    assert millilitres_good_to(968e-6, 1.5e-6) == ("32.73 US fl oz", "± 0.10 US fl oz")


def test_a_sentence_follows_whatever_unit_its_instrument_has() -> None:
    phrase = Phrase("x", "{0}, {1}.", (Amount(Quantity.PRESSURE_DIFFERENCE, 250.0), Amount(Quantity.VOLUME, 126.23e-6)))
    of_gauge = {Quantity.PRESSURE_DIFFERENCE: "bar"}
    assert say(phrase, usual=of_gauge) == "0.0025 bar, 126 mL."
    use_units(read_units("kPa fl oz"))
    assert say(phrase, usual=of_gauge) == "0.25 kPa, 4.27 US fl oz."  # 126.23 / 29.57353 = 4.2683
    with in_house_units():
        assert say(phrase, usual=of_gauge) == "0.0025 bar, 126 mL."


ON_A_BENCH = {
    Quantity.GAUGE_PRESSURE: ("pressure", 100.0, 4e5),
    Quantity.PRESSURE_DIFFERENCE: ("pressure", 1.0, 1e5),
    Quantity.ABSOLUTE_PRESSURE: ("pressure", 8e4, 4e5),
    Quantity.TEMPERATURE: ("temperature", 253.0, 373.0),
    Quantity.TEMPERATURE_DIFFERENCE: ("temperature", 0.05, 60.0),
    Quantity.VOLUME: ("volume", 1e-6, 5e-3),
    Quantity.LENGTH: ("length", 5e-4, 3.0),
    Quantity.FLOW: ("flow", 1e-6, 2e-4),
}
"""Values that a bench sees of each quantity [SI], and the kind of unit it is shown in."""
OF_A_KIND = [(quantity, unit) for quantity, (kind, _, _) in ON_A_BENCH.items() for unit in KINDS[kind]]


@pytest.mark.parametrize(("quantity", "unit"), OF_A_KIND)
def test_what_is_shown_can_be_typed_back_with_and_without_its_unit(quantity: Quantity, unit: str) -> None:
    _, low, high = ON_A_BENCH[quantity]
    use_units(read_units(unit), of_bare=True)
    for step in range(61):
        si = low * (high / low) ** (step / 60)
        number, _, shown_unit = show(si, quantity, own=unit).partition(" ")
        factor, zero = scale(find_unit(shown_unit, quantity))
        decimals = len(number.partition(".")[2])
        significant = math.floor(math.log10(abs((si - zero) / factor))) - 2  # zeros at the end are not shown
        half = max(10.0**-decimals if decimals else 1.0, 10.0**significant) / 2 * factor
        assert parse(f"{number} {shown_unit}", quantity).si == pytest.approx(si, abs=half * 1.001)
        assert parse(number, quantity, usual=bare_unit(quantity, unit)) == parse(number, quantity, usual=shown_unit)


def test_a_bare_number_has_the_unit_of_the_prompt_and_on_a_command_line_always_the_same() -> None:
    assert bare_unit(Quantity.GAUGE_PRESSURE, "mbar") == "mbar"
    use_units(read_units("psi"))
    assert bare_unit(Quantity.GAUGE_PRESSURE, "mbar") == face_unit(Quantity.GAUGE_PRESSURE, "mbar") == "mbar"
    use_units(read_units("psi"), of_bare=True)
    assert bare_unit(Quantity.GAUGE_PRESSURE, "mbar") == "psi"
    assert face_unit(Quantity.GAUGE_PRESSURE, "mbar") is None
    assert face_unit(Quantity.GAUGE_PRESSURE, "psi") == "psi"


def test_fixed_texts_follow_but_for_what_a_person_typed() -> None:
    text = 'limit 5e-3 mbar·L/s · "0.4 bar" · 0.4 bar · marks 900 300 mL · 0 to 200 mm · 10/16 1.8 m · 20 degC'
    assert worded(text) == text
    use_units(read_units(BENCH))
    # 0.4 / 0.06894757 = 5.8015; 900 and 300 / 29.57353; 200 / 25.4; 1800 / 25.4 = 70.87; 20 x 1.8 + 32
    assert worded(text) == (
        'limit 5e-3 mbar·L/s · "0.4 bar" · 5.8 psi · marks 30.4 10.1 US fl oz · 0 to 7.87 in · 10/16 70.9 in · 68 degF'
    )


@pytest.mark.parametrize("quantity", list(Quantity))
def test_the_example_of_a_refusal_can_be_typed(quantity: Quantity) -> None:
    for unit in ("default", BENCH, "bar cm L/min", "kPa"):
        use_units(read_units(unit))
        assert parse(example(quantity), quantity).si > 0
        assert unit_for(quantity) is None or example(quantity).endswith(unit_for(quantity) or "")


def test_units_that_are_kept_are_read_when_the_first_amount_is_worded() -> None:
    asked: list[int] = []

    def load() -> Chosen:
        asked.append(1)
        return read_units("psi")

    use_units_later(load)
    assert not asked
    assert [show(50_000.0, Quantity.GAUGE_PRESSURE) for _ in range(2)] == ["7.25 psi"] * 2
    assert len(asked) == 1
