"""Any text is read or refused with one line; nothing else ever comes out."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.base.errors import InputError
from commission.base.quantity import Quantity
from commission.base.text import clean
from commission.units.parse import parse, parse_with_uncertainty
from commission.units.plausible import SPAN
from commission.units.reading import Field, parse_reading, understood
from tests.strategies import ANY_TEXT, NEARLY, QUANTITIES, TYPED

FIELDS = (
    Field(
        key="gauge", label="gauge", quantity=Quantity.GAUGE_PRESSURE, unit="mbar", low=0.0, high=1e5, resolution=10.0
    ),
    Field(
        key="air",
        label="air",
        quantity=Quantity.TEMPERATURE,
        unit="degC",
        low=263.15,
        high=333.15,
        resolution=0.1,
        optional=True,
    ),
    Field(
        key="barometer",
        label="barometer",
        quantity=Quantity.ABSOLUTE_PRESSURE,
        unit="hPa",
        low=3e4,
        high=1.1e5,
        resolution=10.0,
        optional=True,
    ),
)


def _refusal(action: Callable[[], object]) -> str | None:
    try:
        action()
    except InputError as error:
        return str(error)
    return None


def _check_line(message: str | None) -> None:
    if message is not None:
        assert message
        assert message == clean(message), "a message is one line without hidden characters"
        assert len(message) < 400


@settings(max_examples=400, deadline=None)
@given(ANY_TEXT | TYPED | NEARLY, QUANTITIES, st.booleans())
def test_any_text_is_a_value_in_bounds_or_one_line(text: str, quantity: Quantity, bare: bool) -> None:
    from commission.units.show import USUAL

    usual = USUAL[quantity] if bare else None

    def check() -> None:
        value = parse(text, quantity, usual=usual)
        assert math.isfinite(value.si)
        assert SPAN[quantity].low <= value.si <= SPAN[quantity].high * (1 + 1e-9)
        assert value.typed == text

    _check_line(_refusal(check))


@settings(max_examples=300, deadline=None)
@given(st.one_of(ANY_TEXT, NEARLY, st.builds("{}±{}".format, NEARLY, NEARLY)), QUANTITIES)
def test_any_text_with_an_uncertainty_is_read_or_one_line(text: str, quantity: Quantity) -> None:
    def check() -> None:
        _, u = parse_with_uncertainty(text, quantity)
        assert u is None or (math.isfinite(u) and u > 0)

    _check_line(_refusal(check))


@settings(max_examples=400, deadline=None)
@given(
    st.one_of(ANY_TEXT, TYPED, st.lists(NEARLY, max_size=4).map(" ".join)),
    st.none() | st.just({"gauge": 5e4, "air": 294.0, "barometer": 101300.0}),
)
def test_any_line_is_a_reading_in_range_or_one_line(text: str, expected: dict[str, float] | None) -> None:
    def check() -> None:
        reading = parse_reading(text, FIELDS, expected=expected)
        for field, value in zip(FIELDS, reading.values, strict=True):
            assert (value is None and field.optional) or (value is not None and field.low <= value.si <= field.high)
        assert understood(reading) == clean(understood(reading))

    _check_line(_refusal(check))


@pytest.mark.parametrize("text", ["9" * 5000, "1e" + "9" * 100, "(" * 5000, "1 " * 900, "\ud800 bar", "1\x00 bar"])
def test_hostile_text_is_refused_with_one_short_line(text: str) -> None:
    message = _refusal(lambda: parse(text, Quantity.GAUGE_PRESSURE))
    assert message is not None
    _check_line(message)
    line = _refusal(lambda: parse_reading(text, FIELDS))
    assert line is not None
    _check_line(line)
