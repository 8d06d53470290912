"""What a wet hand types while filling: every amount told back before it is stored, every slip asked about."""

import pytest

from commission.base.errors import InputError
from commission.base.quantity import Quantity
from commission.stages.fill.model.fill import Way
from commission.stages.fill.typed.amount import read_amount
from commission.stages.fill.typed.bottle import read_share
from commission.stages.fill.typed.reservoir import read_reservoir


def test_two_weights_share_the_unit_behind_them_and_take_a_decimal_comma() -> None:
    amount = read_amount("weighed 1184,6 531,2 g")
    assert amount.way is Way.WEIGHED
    assert [round(value.si, 7) for value in amount.values] == [1.1846, 0.5312]
    assert [value.typed for value in amount.values] == ["1184,6 g", "531,2 g"]


def test_each_weight_may_have_a_unit_of_its_own() -> None:
    assert [value.si for value in read_amount("weighed 1.2 kg 531 g").values] == pytest.approx([1.2, 0.531])


def test_a_bottle_may_be_emptied_to_its_zero_mark() -> None:
    amount = read_amount("marks 300 0 mL at 22 degC # last of it")
    assert [value.si for value in amount.values] == pytest.approx([3e-4, 0.0])
    assert amount.at is not None
    assert amount.at.si == pytest.approx(295.15)
    assert amount.note == "last of it"


def test_one_weight_is_an_amount_that_was_weighed() -> None:
    amount = read_amount("653,4 g")
    assert amount.way is Way.WEIGHED
    assert amount.values[0].quantity is Quantity.MASS


def test_a_typed_error_is_a_half_width() -> None:
    """JCGM 100:2008, 4.3.7: u is the half-width over the root of three."""
    amount = read_amount("250 mL ± 5 mL")
    assert amount.u == pytest.approx(5e-6 / 2)


@pytest.mark.parametrize(
    ("line", "asks"),
    [
        ("250", "type the unit"),
        ("250 oz", "US fl oz"),
        ("250 fl oz", "imp fl oz"),
        ("1 184 g", "two numbers"),
        ("weighed 1184.6 531.2", "no unit"),
        ("weighed 1 184,6 531,2 g", "3 numbers"),
        ("marks 900 mL", "two marks"),
        ("weighed", "before and after"),
        ("", "how much"),
        ("0 mL", "outside"),
        ("-250 mL", "outside"),
        ("twelve mL", "number"),
        ("250 mbar", "volume"),
    ],
)
def test_what_is_unclear_is_asked_about(line: str, asks: str) -> None:
    with pytest.raises(InputError, match=asks):
        read_amount(line)


@pytest.mark.parametrize("line", ["30 %", "50 %"])
def test_a_share_without_its_basis_is_asked_about(line: str) -> None:
    with pytest.raises(InputError, match="by mass or by volume"):
        read_share(line)


@pytest.mark.parametrize("line", ["0.3 by mass", "30"])
def test_a_share_without_its_sign_is_asked_about(line: str) -> None:
    with pytest.raises(InputError, match="% sign"):
        read_share(line)


@pytest.mark.parametrize("line", ["0 % by mass", "130 % by volume"])
def test_a_share_that_no_bottle_has_is_refused(line: str) -> None:
    with pytest.raises(InputError):
        read_share(line)


def test_a_reservoir_is_inner_diameter_then_height() -> None:
    tank = read_reservoir("60 mm 200 mm insert 12 mm cap 30 mL")
    assert (tank.bore_m, tank.height_m, tank.insert_m) == pytest.approx((0.06, 0.2, 0.012))
    assert tank.above_m3 == pytest.approx(3e-5)


@pytest.mark.parametrize("line", ["", "60 mm", "60 200 100 mm", "60 L 2 L", "cap 3 mL"])
def test_half_a_reservoir_is_refused(line: str) -> None:
    with pytest.raises(InputError, match="inner diameter and height"):
        read_reservoir(line)
