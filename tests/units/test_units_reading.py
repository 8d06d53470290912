"""One line at the bench: what is understood, what is asked, what is refused."""

import pytest

from commission.base.errors import InputError
from commission.base.quantity import Quantity
from commission.units.reading import Field, parse_reading, understood

GAUGE = Field(
    key="gauge", label="gauge", quantity=Quantity.GAUGE_PRESSURE, unit="mbar", low=0.0, high=1e5, resolution=10.0
)
AIR = Field(
    key="air",
    label="air",
    quantity=Quantity.TEMPERATURE,
    unit="degC",
    low=263.15,
    high=333.15,
    resolution=0.1,
    optional=True,
)
BAROMETER = Field(
    key="barometer",
    label="barometer",
    quantity=Quantity.ABSOLUTE_PRESSURE,
    unit="hPa",
    low=3e4,
    high=1.1e5,
    resolution=10.0,
    optional=True,
)
FIELDS = (GAUGE, AIR, BAROMETER)
LAST = {"gauge": 49_800.0, "air": 294.35, "barometer": 101_310.0}


@pytest.mark.parametrize(
    ("line", "shown"),
    [
        ("497,5", "gauge 497.5 mbar"),
        ("497,5 21.3", "gauge 497.5 mbar · air 21.3 °C"),
        ("497,5 21.3 1013", "gauge 497.5 mbar · air 21.3 °C · barometer 1013.0 hPa"),
        ("497.5 - 1013", "gauge 497.5 mbar · barometer 1013.0 hPa"),
        ("497.5 1013 hPa", "gauge 497.5 mbar · barometer 1013.0 hPa"),
        ("0,4975 bar 21.3 degC", "gauge 497.5 mbar · air 21.3 °C"),
        ("21.3 degC 0,4975 bar", "gauge 497.5 mbar · air 21.3 °C"),
        ("0,4975 bar 21.3", "gauge 497.5 mbar · air 21.3 °C"),
        ("0,4975 bar 21.3 1013", "gauge 497.5 mbar · air 21.3 °C · barometer 1013.0 hPa"),
        ("497,5 21.3 1.013 bar", "gauge 497.5 mbar · air 21.3 °C · barometer 1013.0 hPa"),
        ("0.4975 bar - 1013", "gauge 497.5 mbar · barometer 1013.0 hPa"),
        ("21.3°C 497,5mbar", "gauge 497.5 mbar · air 21.3 °C"),
        ("70 F 497.5", "gauge 497.5 mbar · air 21.1 °C"),
        ("1013 hPa 21.3 C 0.4975 bar", "gauge 497.5 mbar · air 21.3 °C · barometer 1013.0 hPa"),
        ("air 21.3 gauge 497,5", "gauge 497.5 mbar · air 21.3 °C"),
        ("gauge 0.9 bar barometer 0.95 bar", "gauge 900.0 mbar · barometer 950.0 hPa"),
        ("gauge 497.5 mbar · air 21.3 °C", "gauge 497.5 mbar · air 21.3 °C"),
        ("497.53 21.25", "gauge 497.53 mbar · air 21.25 °C"),
        ("497.5 -5", "gauge 497.5 mbar · air -5.0 °C"),
        ("497.5 21.3 # door open", 'gauge 497.5 mbar · air 21.3 °C · note "door open"'),
        ("497.5#[b]\x1b[2J", 'gauge 497.5 mbar · note "[b]\\u001b[2J"'),
    ],
)
def test_a_line_is_understood(line: str, shown: str) -> None:
    reading = parse_reading(line, FIELDS)
    assert understood(reading) == shown
    assert reading.typed == line


def test_a_value_keeps_its_text_as_typed() -> None:
    reading = parse_reading("0,4975 bar 21.3", FIELDS)
    gauge, air = reading.of("gauge"), reading.of("air")
    assert gauge is not None
    assert air is not None
    assert (gauge.typed, air.typed) == ("0,4975 bar", "21.3")
    assert gauge.si == pytest.approx(49_750.0)
    assert reading.of("barometer") is None


@pytest.mark.parametrize(
    ("line", "question"),
    [
        ("0.4975", "0.4975 mbar, or 0.4975 bar = 497.5 mbar. type the unit"),
        ("0,4975 21.3", "0,4975 mbar, or 0,4975 bar = 497.5 mbar. type the unit"),
        ("49.75", "49.75 kPa = 497.5 mbar"),
        ("7.2", "7.2 psi = 496.4 mbar"),
        ("49750", "is it 49750 Pa = 497.5 mbar"),
        ("4.98", "4.98 mbar, or 498 mbar"),
        ("497.5 70", "is it 70 degF = 21.11 °C"),
        ("497.5 294.5", "is it 294.5 K = 21.35 °C"),
        ("497.5 5", "5 °C, where 21.2 °C was expected"),
        ("497.5 21.3 101.3", "is it 101.3 kPa = 1013 hPa"),
        ("497.5 21.3 760", "760 hPa, or 760 mmHg = 1013 hPa"),
        ("497.5 21.3 29.92", "29.92 inHg = 1013 hPa"),
    ],
)
def test_a_swapped_unit_is_asked_about(line: str, question: str) -> None:
    with pytest.raises(InputError, match=question) as caught:
        parse_reading(line, FIELDS, expected=LAST)
    assert caught.value.asks


def test_a_typed_unit_answers_the_question() -> None:
    reading = parse_reading("0.4975 mbar 5 degC", FIELDS, expected=LAST)
    assert understood(reading) == "gauge 0.4975 mbar · air 5.0 °C"


@pytest.mark.parametrize("line", ["497.5 21.3 1013", "450 22", "350", "120"])
def test_a_fall_is_no_slip(line: str) -> None:
    assert parse_reading(line, FIELDS, expected=LAST).of("gauge") is not None


def test_a_comma_with_three_digits_is_asked_about_unless_the_last_reading_settles_it() -> None:
    wide = Field(
        key="gauge", label="gauge", quantity=Quantity.GAUGE_PRESSURE, unit="mbar", low=0.0, high=2e5, resolution=0.1
    )
    with pytest.raises(InputError, match=r"1\.013 or 1013 mbar") as caught:
        parse_reading("1,013", [wide])
    assert caught.value.asks
    reading = parse_reading("1,013", [wide], expected={"gauge": 101.0})
    assert understood(reading) == "gauge 1.013 mbar"


def test_two_pressures_that_could_be_swapped_are_asked_about() -> None:
    with pytest.raises(
        InputError, match=r"put the name before it, such as gauge 0\.9 bar barometer 0\.95 bar"
    ) as caught:
        parse_reading("0.9 bar 0.95 bar", FIELDS)
    assert caught.value.asks


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("", "no reading was typed"),
        ("# only a note", "no reading was typed"),
        ("- 21", "the gauge is missing"),
        ("- - -", "the gauge is missing"),
        ("1 2 3 4", "4 values were typed where at most 3 fit"),
        ("497.5 1013", "air: 1013 °C is above the instrument's range -10 °C to 60 °C"),
        ("1200", "gauge: 1200 mbar is above the instrument's range 0 mbar to 1000 mbar"),
        ("1.2 bar", "above the instrument's range"),
        ("-5", "below the instrument's range"),
        ("497.5, 21.3", "no digit after its decimal sign"),
        ("1 000", "needless 0"),
        ("497.5 foo", "not a unit of gauge pressure"),
        ("0.5 Mbar", "means a million bar"),
        ("abc", "is no number; type values in the order gauge"),
        ("nan", "is no number"),
        ("1e999", "too large"),
        ("5 ± 2", "has a ±"),
        ("gauge 5 gauge 6", "typed twice"),
        ("497.5 21 C 22 C", "two values were typed for one field"),
        ("497\x005", "cannot be seen"),
        ("1.234,5", "more than one separator"),
    ],
)
def test_a_line_that_cannot_be_read_is_refused_with_its_reason(line: str, why: str) -> None:
    with pytest.raises(InputError, match=why):
        parse_reading(line, FIELDS)
