"""What may be typed and what is refused, each with its reason.

Expected values are the typed number times a factor of NIST SP 811 B.8 or an exact definition, written out.
"""

import pytest

from commission.base.errors import InputError
from commission.base.quantity import Measured, Quantity
from commission.units.parse import parse, parse_or_zero, parse_with_uncertainty

G, A, D = Quantity.GAUGE_PRESSURE, Quantity.ABSOLUTE_PRESSURE, Quantity.PRESSURE_DIFFERENCE
T, DT, V, M = Quantity.TEMPERATURE, Quantity.TEMPERATURE_DIFFERENCE, Quantity.VOLUME, Quantity.LENGTH
W, RHO = Quantity.MASS, Quantity.DENSITY
S, Q, J, R = Quantity.DURATION, Quantity.LEAK_RATE, Quantity.ENERGY, Quantity.RATIO

ACCEPTED: list[tuple[str, Quantity, float]] = [
    ("0,5 bar", G, 50_000.0),
    ("0.5 bar", G, 50_000.0),
    ("500 mbar", G, 50_000.0),
    ("500mbar", G, 50_000.0),
    ("  500   mbar  ", G, 50_000.0),
    ("500\u00a0mbar", G, 50_000.0),
    ("+500 mbar", G, 50_000.0),
    ("-0,5 bar", G, -50_000.0),
    ("−0.5 bar", G, -50_000.0),
    ("5e4 Pa", G, 50_000.0),
    ("5E+4 pa", G, 50_000.0),
    ("50 kPa", G, 50_000.0),
    ("50 kpa", G, 50_000.0),
    ("0.05 MPa", G, 50_000.0),
    ("500 hPa", G, 50_000.0),
    ("10 psi", G, 68_947.57),
    ("10 PSI", G, 68_947.57),
    ("10 psig", G, 68_947.57),
    ("0.5 barg", G, 50_000.0),
    ("0.5 bar(g)", G, 50_000.0),
    ("1 atm", G, 101_325.0),
    ("10 cmH2O", G, 980.665),
    ("10 mmH2O", G, 98.0665),
    ("10 inH2O", G, 2_490.889),
    ("14.696 psia", A, 101_325.35),
    ("1.013 bara", A, 101_300.0),
    ("1013.25 hPa", A, 101_325.0),
    ("1013,25 mbar", A, 101_325.0),
    ("1013,250 Pa", A, 1_013.25),  # four digits before a comma are no group
    ("760 mmHg", A, 101_325.02),
    ("29.92 inHg", A, 101_320.76),
    ('29.92 "Hg', A, 101_320.76),
    ("0.1 mbar", D, 10.0),
    ("-0.1 mbar", D, -10.0),
    ("21.3 degC", T, 294.45),
    ("21,3 °C", T, 294.45),
    ("21.3C", T, 294.45),
    ("21.3 ℃", T, 294.45),
    ("21.3 ºC", T, 294.45),
    ("-5 degC", T, 268.15),
    ("70 degF", T, 294.261111),
    ("70 °F", T, 294.261111),
    ("70 F", T, 294.261111),
    ("294.45 K", T, 294.45),
    ("0,5 K", DT, 0.5),
    ("0.5 degC", DT, 0.5),
    ("0.9 degF", DT, 0.5),
    ("1.2 L", V, 1.2e-3),
    ("1,2 l", V, 1.2e-3),
    ("1200 mL", V, 1.2e-3),
    ("1200 ml", V, 1.2e-3),
    ("1200 cc", V, 1.2e-3),
    ("1200 cm3", V, 1.2e-3),
    ("1200 cm³", V, 1.2e-3),
    ("0.0012 m3", V, 1.2e-3),
    ("653,4 g", W, 0.6534),
    ("1.1846 kg", W, 1.1846),
    ("5 mg", W, 5e-6),
    ("23 oz", W, 0.652038965),  # NIST SP 811 B.8: 1 oz = 2.834952e-2 kg; exact 28.349523125 g
    ("2 lb", W, 0.90718474),
    ("0 g", W, 0.0),
    ("1.035 g/mL", RHO, 1035.0),
    ("1,035 g/ml", RHO, 1035.0),
    ("1.035 g / mL", RHO, 1035.0),
    ("1.035 g/cm3", RHO, 1035.0),
    ("1.035 g/cm³", RHO, 1035.0),
    ("1.035 kg/L", RHO, 1035.0),
    ("1035 kg/m3", RHO, 1035.0),
    ("40 US fl oz", V, 1.1829412e-3),
    ("40 imp fl oz", V, 1.1365224e-3),
    ("0.25 US gal", V, 9.46353e-4),
    ("0.25 imp gal", V, 1.1365225e-3),
    ("10 in3", V, 1.638706e-4),
    ("1,200 L", V, 1.2e-3),  # 1200 L is no computer's loop, so that the comma can only be a decimal one
    ("10 mm", M, 0.010),
    ("1.25 m", M, 1.25),
    ("3.5 cm", M, 0.035),
    ("0.5 in", M, 0.0127),
    ('0.5"', M, 0.0127),
    ("1 ft", M, 0.3048),
    ("90 s", S, 90.0),
    ("1.5 h", S, 5400.0),
    ("90 min", S, 5400.0),
    ("2 hrs", S, 7200.0),
    ("1 d", S, 86_400.0),
    ("1 h 30 min", S, 5400.0),
    ("1h30min", S, 5400.0),
    ("1 h 30 min 5 s", S, 5405.0),
    ("1 min 2.5 s", S, 62.5),
    ("1:30:00", S, 5400.0),
    ("12:00:00", S, 43_200.0),
    ("0 s", S, 0.0),
    ("1e-2 mbar·L/s", Q, 1e-3),
    ("1e-2 mbar L/s", Q, 1e-3),
    ("1e-2 mbar*l/s", Q, 1e-3),
    ("1e-2 mbarl/s", Q, 1e-3),
    ("1e-2 mbar-L/s", Q, 1e-3),
    ("1e-2 mbar.l/s", Q, 1e-3),
    ("1e-2 mbar L / s", Q, 1e-3),
    ("1e-2 mbar l s-1", Q, 1e-3),
    ("1e-2 mbar·L·s⁻¹", Q, 1e-3),
    ("1×10⁻² mbar·L/s", Q, 1e-3),
    ("1x10^-2 mbar L/s", Q, 1e-3),
    ("0,01 mbar·L/s", Q, 1e-3),
    ("1e-3 Pa m3/s", Q, 1e-3),
    ("1e-3 Pa·m³/s", Q, 1e-3),
    ("0.01 atm cc/s", Q, 1.01325e-3),
    ("0.6 mbar·L/min", Q, 1e-3),
    ("60 J", J, 60.0),
    ("0.06 kJ", J, 60.0),
    ("5 %", R, 0.05),
    ("5%", R, 0.05),
    ("0.05", R, 0.05),
]


@pytest.mark.parametrize(("text", "quantity", "si"), ACCEPTED)
def test_typed_text_is_read(text: str, quantity: Quantity, si: float) -> None:
    value = parse(text, quantity)
    assert value.si == pytest.approx(si, rel=5e-7, abs=1e-12)
    assert value.typed == text
    assert value.quantity is quantity


REFUSED: list[tuple[str, Quantity, str]] = [
    ("", G, "nothing was typed"),
    ("   ", G, "nothing was typed"),
    ("bar", G, "does not start with a number"),
    ("500", G, "has no unit"),
    ("1 000 mbar", G, "type them together, such as 1000"),
    ("1\u00a0000 mbar", G, "type them together, such as 1000"),
    ("1\u202f000 mbar", G, "cannot be seen|type them together"),
    ("1.234,5 Pa", G, "more than one separator"),
    ("1,234.5 Pa", G, "more than one separator"),
    ("1'000 mbar", G, "type them together"),
    ("1’000 mbar", G, "type them together"),
    ("1_000 mbar", G, "type them together"),
    ("1,234,567 Pa", G, "type them together, such as 1234567"),
    ("1.234.567 Pa", G, "type them together, such as 1234567"),
    ("1.2.3 bar", G, "more than one separator"),
    ("nan bar", G, "not a number that can be read"),
    ("NaN", G, "not a number that can be read"),
    ("inf bar", G, "not a number that can be read"),
    ("-Infinity bar", G, "not a number that can be read"),
    ("1e999 bar", G, "too large"),
    ("-1e999 bar", G, "too large"),
    ("1e-999 bar", G, "too small"),
    ("1e5 bar", G, "outside -1.1 bar to 100 bar"),
    ("-2 bar", G, "outside -1.1 bar to 100 bar"),
    ("٣ bar", G, "digits 0 to 9"),
    ("１２ bar", G, "digits 0 to 9"),
    ("½ bar", G, "digits 0 to 9"),
    ("0.5 bar\x00", G, "cannot be seen"),
    ("0.5\x1b[2J bar", G, "cannot be seen"),
    ("0.5\tbar", G, "cannot be seen"),
    ("0.5\nbar", G, "cannot be seen"),
    ("0.5 b\u202ear", G, "cannot be seen"),
    ("10 bar - 9 bar", G, "more than one number"),
    ("10 9 bar", G, "more than one number"),
    ("10 bar 9", G, "more than one number"),
    (".5 bar", G, "type 0.5 bar"),
    ("5. bar", G, "type 5 bar"),
    ("5, bar", G, "type 5 bar"),
    ("05 bar", G, "needless 0"),
    ("--5 bar", G, "does not start with a number"),
    ("0x10 bar", G, "not a unit"),
    ("150 Mbar", G, "means a million bar; type 150 mbar"),
    ("150 MBAR", G, "type 150 mbar"),
    ("5 BAR", G, "type 5 bar"),
    ("5 Bar", G, "type 5 bar"),
    ("5 KPA", G, "type 5 kPa"),
    ("5 mPa", G, "type 5 MPa"),
    ("20 degC", G, "unit of temperature"),
    ("5 psia", G, "unit of absolute pressure"),
    ("5 barg", A, "unit of gauge pressure"),
    ("5 furlong", G, "not a unit of gauge pressure"),
    ("5 bar 'x", G, "not a unit"),
    ("5 kPa/degC", G, "not a unit"),
    ("5 ± 1 bar", G, "has an uncertainty where none is asked for"),
    ("5 +- 1 bar", G, "has an uncertainty where none is asked for"),
    ("0 hPa", A, "nothing is at or below 0"),
    ("-1 bar", A, "is it a gauge pressure"),
    ("21.5 c", T, "type 21.5 degC"),
    ("21.5 k", T, "type 21.5 K"),
    ("21.5", T, "has no unit"),
    ("-300 degC", T, "below absolute zero"),
    ("0 K", T, "below absolute zero"),
    ("5000 K", T, "outside"),
    ("1.2 ML", V, "type 1.2 mL"),
    ("0 L", V, "outside"),
    ("-1 L", V, "outside"),
    ("1.2 bar", V, "unit of gauge pressure"),
    ("250 g", V, "unit of mass"),
    ("250 mL", W, "unit of volume"),
    ("250 fl oz", W, "not a unit of mass"),
    ("-1 g", W, "outside"),
    ("653.4 G", W, "type 653.4 g"),
    ("1.035 kg/m3", RHO, "outside 500 kg/m³ to 3000"),
    ("1.035 g", RHO, "unit of mass"),
    ("1.035", RHO, "has no unit"),
    ("10 MM", M, "type 10 mm"),
    ("1/2 in", M, "type 0.5 in"),
    ("3/8", M, "type 0.375"),
    ("1/0 in", M, "after its number"),
    ("5 m", S, "unit of length"),
    ("-5 s", S, "outside"),
    ("90 min 1 h", S, "falling units"),
    ("1 h 90 min", S, "falling units"),
    ("1.5 h 30 min", S, "falling units"),
    ("1 h 1 h", S, "falling units"),
    ("1 h 30 foo", S, "no unit of duration"),
    ("1 h 30", S, "more than one number"),
    ("1:75:00", S, "not a unit of duration"),
    ("1 sccm", Q, "standard conditions"),
    ("1 std cc/s", Q, "standard conditions"),
    ("1 mL/min", Q, "without the pressure"),
    ("1 mbar", Q, "unit of gauge pressure"),
    ("0 mbar·L/s", Q, "outside"),
    ("1 MBAR·L/S", Q, "type 1 mbar L/s"),
    ("9" * 201, G, "characters long"),
]


@pytest.mark.parametrize(("text", "quantity", "why"), REFUSED)
def test_typed_text_is_refused_with_its_reason(text: str, quantity: Quantity, why: str) -> None:
    with pytest.raises(InputError, match=why) as caught:
        parse(text, quantity)
    assert not caught.value.asks


ASKED: list[tuple[str, Quantity, str]] = [
    ("1,200 mL", V, "1.200 mL or 1200 mL"),
    ("1,184 g", W, "1.184 g or 1184 g"),
    ("1,013 mbar", G, "1.013 mbar or 1013 mbar"),
    ("-1,000 mbar", G, "-1.000 mbar or -1000 mbar"),
    ("40 fl oz", V, "40 US fl oz or 40 imp fl oz"),
    ("1 gal", V, "1 US gal or 1 imp gal"),
    ("1:30", S, "1 h 30 min or 1 min 30 s"),
]


@pytest.mark.parametrize(("text", "quantity", "question"), ASKED)
def test_text_with_two_meanings_is_asked_about(text: str, quantity: Quantity, question: str) -> None:
    with pytest.raises(InputError, match=question) as caught:
        parse(text, quantity)
    assert caught.value.asks


def test_each_answer_that_a_question_offers_is_read() -> None:
    for answer, quantity in [
        ("1.200 mL", V),
        ("1200 mL", V),
        ("40 US fl oz", V),
        ("40 imp fl oz", V),
        ("1 h 30 min", S),
        ("1 min 30 s", S),
    ]:
        assert parse(answer, quantity).si > 0


def test_bounds_settle_which_comma_is_meant() -> None:
    assert parse("1,013 mbar", G, high=50_000.0).si == pytest.approx(101.3)


def test_a_bare_number_has_the_usual_unit() -> None:
    assert parse("497,5", G, usual="mbar").si == pytest.approx(49_750.0)
    assert parse("21.3", T, usual="degC").si == pytest.approx(294.45)
    assert parse("0.5 bar", G, usual="mbar").si == pytest.approx(50_000.0)


@pytest.mark.parametrize("text", ["0 mL", "0,0 mL", "0.000 L", "0mL"])
def test_nothing_at_all_is_a_value_where_it_may_be_one(text: str) -> None:
    assert parse_or_zero(text, V) == Measured(quantity=V, si=0.0, typed=text)
    with pytest.raises(InputError):
        parse(text, V)


def test_what_is_more_than_nothing_is_read_as_ever() -> None:
    assert parse_or_zero("12 mL", V) == parse("12 mL", V)


@pytest.mark.parametrize(("text", "why"), [("0", "no unit"), ("0 mm", "length"), ("0 fl oz", "two meanings")])
def test_a_zero_of_something_else_is_refused(text: str, why: str) -> None:
    with pytest.raises(InputError, match=why):
        parse_or_zero(text, V)


def test_a_bare_zero_is_taken_where_it_can_mean_nothing_else() -> None:
    assert parse_or_zero("0,0", G, bare_zero=True).si == 0.0
    with pytest.raises(InputError, match="no unit"):
        parse_or_zero("3", G, bare_zero=True)
    with pytest.raises(InputError):
        parse_or_zero("0 mL", G, bare_zero=True)


def test_asked_bounds_are_kept_and_named() -> None:
    assert parse("600 mbar", G, usual="mbar", low=0.0, high=60_000.0).si == pytest.approx(60_000.0)
    with pytest.raises(InputError, match=r'"601 mbar" is 601 mbar, outside 0 mbar to 600 mbar'):
        parse("601 mbar", G, low=0.0, high=60_000.0)


@pytest.mark.parametrize(
    ("text", "si", "half"),
    [
        ("1.2 L ± 5 %", 1.2e-3, 0.06e-3),
        ("1.2 L ±5%", 1.2e-3, 0.06e-3),
        ("1,2 L +- 0,05 L", 1.2e-3, 0.05e-3),
        ("1.2 L +/- 50 mL", 1.2e-3, 0.05e-3),
        ("1.2 ± 0.05 L", 1.2e-3, 0.05e-3),
    ],
)
def test_plus_minus_is_95_percent(text: str, si: float, half: float) -> None:
    value, u = parse_with_uncertainty(text, V)
    assert value.si == pytest.approx(si)
    assert value.typed == text
    assert u == pytest.approx(half / 2, rel=1e-12)  # JCGM 100:2008, 6.3.3: coverage factor 2 for about 95 %


def test_without_plus_minus_there_is_no_uncertainty() -> None:
    assert parse_with_uncertainty("1.2 L", V)[1] is None


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("1.2 L ± 0 %", "not above 0"),
        ("1.2 L ± -5 %", "not above 0"),
        ("1.2 L ± 100 %", "as large as the value"),
        ("1.2 L ± 5 L", "as large as the value"),
        ("1.2 L ± 5", "no unit after its ±"),
        ("1.2 L ±", "one value and one ±"),
        ("± 5 %", "one value and one ±"),
        ("1.2 L ± 5 % ± 5 %", "one value and one ±"),
        ("1.2 ± 5 %", "has no unit"),
        ("1.2 L ± 5 degC", "unit of temperature"),
        ("1.2 L ± 1e999 L", "too large"),
    ],
)
def test_an_uncertainty_that_makes_no_sense_is_refused(text: str, why: str) -> None:
    with pytest.raises(InputError, match=why):
        parse_with_uncertainty(text, V)
