"""What is shown can be typed again, and reads as a person expects."""

import math

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.text import fold
from commission.units.parse import parse
from commission.units.plausible import SPAN
from commission.units.show import USUAL, say, show
from commission.units.tables import UNITS


def _values(quantity: Quantity) -> st.SearchStrategy[float]:
    span = SPAN[quantity]
    return st.floats(span.low, span.high, exclude_min=span.open_low).filter(lambda v: v == 0 or abs(v) > 1e-12)


@settings(deadline=None)
@given(st.sampled_from(list(Quantity)).flatmap(lambda q: st.tuples(st.just(q), _values(q))), st.booleans(), st.data())
def test_what_is_shown_reads_back(pair: tuple[Quantity, float], ascii_only: bool, data: st.DataObject) -> None:
    quantity, si = pair
    unit = data.draw(st.sampled_from([None, *(u.symbol for u in UNITS[quantity])]))
    text = show(si, quantity, unit=unit, digits=14)
    text = fold(text) if ascii_only else text
    scale_of_zero = 300.0 if quantity is Quantity.TEMPERATURE else 0.0
    assert parse(text, quantity).si == pytest.approx(si, rel=1e-12, abs=1e-12 * scale_of_zero)


@settings(deadline=None)
@given(st.floats(0, 366 * 86400.0))
def test_a_duration_reads_back_within_half_its_last_part(seconds: float) -> None:
    last = 0.05 if seconds < 10 else 0.5 if seconds < 3600 else 30.0 if seconds < 172_770 else 1800.0
    assert parse(show(seconds, Quantity.DURATION), Quantity.DURATION).si == pytest.approx(seconds, abs=last * 1.01)


@settings(deadline=None)
@given(st.sampled_from(list(Quantity)), st.floats())
@example(Quantity.VOLUME, 1.7e308)
@example(Quantity.LEAK_RATE, -1.7e308)
def test_any_float_can_be_shown(quantity: Quantity, si: float) -> None:
    text = show(si, quantity)
    assert text
    assert "inf" not in text
    assert "nan" not in text


@pytest.mark.parametrize(
    ("si", "quantity", "text"),
    [
        (49_750.0, Quantity.GAUGE_PRESSURE, "497.5 mbar"),
        (50_000.0, Quantity.GAUGE_PRESSURE, "500 mbar"),
        (-250.0, Quantity.PRESSURE_DIFFERENCE, "-2.5 mbar"),
        (101_325.0, Quantity.ABSOLUTE_PRESSURE, "1013 hPa"),
        (294.45, Quantity.TEMPERATURE, "21.3 °C"),
        (273.15, Quantity.TEMPERATURE, "0 °C"),
        (0.5, Quantity.TEMPERATURE_DIFFERENCE, "0.5 K"),
        (1.2e-3, Quantity.VOLUME, "1.2 L"),
        (1.1846, Quantity.MASS, "1184.6 g"),
        (25.0, Quantity.MASS, "25 kg"),
        (1023.785, Quantity.DENSITY, "1.0238 g/mL"),
        (0.25e-3, Quantity.VOLUME, "250 mL"),
        (0.010, Quantity.LENGTH, "10 mm"),
        (1.25, Quantity.LENGTH, "1.25 m"),
        (0.0, Quantity.DURATION, "0 s"),
        (2.5, Quantity.DURATION, "2.5 s"),
        (40.0, Quantity.DURATION, "40 s"),
        (59.7, Quantity.DURATION, "1 min"),
        (720.0, Quantity.DURATION, "12 min"),
        (750.0, Quantity.DURATION, "12 min 30 s"),
        (4800.0, Quantity.DURATION, "1 h 20 min"),
        (3599.7, Quantity.DURATION, "1 h"),
        (43_200.0, Quantity.DURATION, "12 h"),
        (183_600.0, Quantity.DURATION, "2 d 3 h"),
        (3.2e-4, Quantity.LEAK_RATE, "0.0032 mbar·L/s"),
        (1e-3, Quantity.LEAK_RATE, "0.01 mbar·L/s"),
        (9.996e-4, Quantity.LEAK_RATE, "0.01 mbar·L/s"),
        (3.2e-6, Quantity.LEAK_RATE, "3.2×10⁻⁵ mbar·L/s"),
        (0.15, Quantity.LEAK_RATE, "1.5 mbar·L/s"),
        (0.0, Quantity.LEAK_RATE, "0 mbar·L/s"),
        (-3.2e-4, Quantity.LEAK_RATE, "-0.0032 mbar·L/s"),
        (60.0, Quantity.ENERGY, "60 J"),
        (1500.0, Quantity.ENERGY, "1.5 kJ"),
        (0.05, Quantity.RATIO, "5 %"),
        (math.nan, Quantity.GAUGE_PRESSURE, "not known"),
        (math.inf, Quantity.LEAK_RATE, "unbounded"),
    ],
)
def test_values_read_as_a_person_expects(si: float, quantity: Quantity, text: str) -> None:
    assert show(si, quantity) == text


def test_a_plain_terminal_loses_nothing() -> None:
    assert fold(show(3.2e-6, Quantity.LEAK_RATE)) == "3.2x10^-5 mbar*L/s"
    assert fold(show(294.45, Quantity.TEMPERATURE)) == "21.3 degC"


@pytest.mark.parametrize(
    ("resolution", "unit", "text"),
    [
        (10.0, "mbar", "500.0 mbar"),
        (1000.0, "mbar", "500 mbar"),
        (100.0, "bar", "0.500 bar"),
        (25.0, "mbar", "500.00 mbar"),
    ],
)
def test_a_display_keeps_its_decimals(resolution: float, unit: str, text: str) -> None:
    assert show(50_000.0, Quantity.GAUGE_PRESSURE, unit=unit, resolution=resolution) == text


def test_minus_nothing_is_nothing() -> None:
    assert show(-0.001, Quantity.PRESSURE_DIFFERENCE, resolution=10.0) == "0.0 mbar"
    assert show(-0.0, Quantity.PRESSURE_DIFFERENCE) == "0 mbar"


def test_a_sentence_has_its_amounts_in_the_readers_units() -> None:
    phrase = Phrase(
        "within_limit",
        "Of {1} it used {0}.",
        (Amount(Quantity.PRESSURE_DIFFERENCE, 250.0), Amount(Quantity.DURATION, 4800.0)),
    )
    assert say(phrase) == "Of 1 h 20 min it used 2.5 mbar."
    assert say(phrase, usual={Quantity.PRESSURE_DIFFERENCE: "Pa"}) == "Of 1 h 20 min it used 250 Pa."


def test_a_sentence_is_text_and_nothing_else() -> None:
    assert say(Phrase("x", "{9} {0.__class__} {} \x1b[2J", ())) == "{9} {0.__class__} {} \\u001b[2J"


def test_every_quantity_has_a_usual_unit() -> None:
    assert set(USUAL) == set(Quantity)
