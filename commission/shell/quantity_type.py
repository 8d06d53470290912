"""Values with units on the command line, read by the same strict grammar as everywhere else."""

from __future__ import annotations

from typing import Any, TypeVar

import click

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.base.quantity import Measured, Quantity


class Uncertain(Frozen, kw_only=False):
    """A value with its standard uncertainty."""

    si: float
    """The value [SI]."""
    u: float | None
    """Its standard uncertainty [SI]; None where none was typed."""


T = TypeVar("T")


class TextType(click.ParamType[T]):
    """A value that is read from a text; a refusal is one of the command line."""

    name = "Q"

    def read(self, text: str) -> T:
        """Return the value; raises InputError where the text has none."""
        raise NotImplementedError

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Return the value; what is no text was read already."""
        if not isinstance(value, str):
            return value
        try:
            return self.read(value)
        except InputError as error:
            self.fail(str(error), param, ctx)


class QuantityType(TextType[float]):
    """A number with a unit, such as ``0,5 bar``; becomes its value in SI."""

    def __init__(self, quantity: Quantity, *, above_zero: bool = True, auto: bool = False) -> None:
        self.quantity = quantity
        self.above_zero = above_zero
        self.auto = auto
        self.name = "DURATION" if quantity is Quantity.DURATION else "Q"

    def read(self, text: str) -> float:
        """Return the value in SI, or what stands for ``auto``."""
        from commission.units.parse import parse

        if self.auto and text.strip().casefold() == "auto":
            return AUTO
        si = parse(text, self.quantity).si
        if self.above_zero and si <= 0:
            raise InputError(f"{text} is not above 0")
        return si


class EveryType(TextType[float]):
    """A time between two readings within two bounds, such as ``90 s`` or ``2 min``; a bare number is in seconds."""

    name = "DURATION"

    def __init__(self, low_s: float, high_s: float = 3600.0) -> None:
        self.low_s = low_s
        self.high_s = high_s

    def read(self, text: str) -> float:
        """Return the seconds."""
        from commission.units.parse import parse

        return parse(text, Quantity.DURATION, usual="s", low=self.low_s, high=self.high_s).si


class UncertainType(TextType[Uncertain]):
    """A value with or without its uncertainty, such as ``1.2 L`` or ``1.2 L +- 5 %``."""

    def __init__(self, quantity: Quantity) -> None:
        self.quantity = quantity

    def read(self, text: str) -> Uncertain:
        """Return value and uncertainty in SI."""
        from commission.units.parse import parse_with_uncertainty

        measured, u = parse_with_uncertainty(text, self.quantity)
        if measured.si <= 0:
            raise InputError(f"{text} is not above 0")
        return Uncertain(measured.si, u)


class AmountType(TextType[Measured]):
    """An amount, a volume or a weight; nothing at all is one too."""

    def __init__(self, *quantities: Quantity) -> None:
        self.quantities = quantities

    def read(self, text: str) -> Measured:
        """Return the value in SI, with its quantity."""
        return amount(text, *self.quantities)


def amount(text: str, *quantities: Quantity) -> Measured:
    """Return an amount of the first quantity that has the typed unit; 0 is allowed.

    Raises
    ------
    InputError
        If it cannot be read.
    """
    from commission.units.number import readable, split_number
    from commission.units.parse import parse_or_zero
    from commission.units.plausible import ASK
    from commission.units.tables import BY_SPELLING

    _, unit = split_number(readable(text))
    quantity = next((one for one in quantities if unit in BY_SPELLING[one] or unit in ASK.get(one, {})), quantities[0])
    return parse_or_zero(text, quantity)


AUTO = -1.0
"""Stands for ``auto`` where a duration is asked for; no duration is below 0."""
