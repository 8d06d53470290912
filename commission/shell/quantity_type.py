"""Values with units on the command line, read by the same strict grammar as everywhere else."""

from __future__ import annotations

from typing import Any

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


class QuantityType(click.ParamType[float]):
    """A number with a unit, such as ``0,5 bar``; becomes its value in SI."""

    def __init__(self, quantity: Quantity, *, above_zero: bool = True, auto: bool = False) -> None:
        self.quantity = quantity
        self.above_zero = above_zero
        self.auto = auto
        self.name = "DURATION" if quantity is Quantity.DURATION else "Q"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Return the value in SI; NaN stands for ``auto``."""
        from commission.units.parse import parse

        if self.auto and str(value).strip().casefold() == "auto":
            return AUTO
        try:
            si = parse(str(value), self.quantity).si
        except InputError as error:
            self.fail(str(error), param, ctx)
        if self.above_zero and si <= 0:
            self.fail(f"{value} is not above 0", param, ctx)
        return si


class EveryType(click.ParamType[float]):
    """A time between two readings within two bounds, such as ``90 s`` or ``2 min``; a bare number is in seconds."""

    name = "DURATION"

    def __init__(self, low_s: float, high_s: float = 3600.0) -> None:
        self.low_s = low_s
        self.high_s = high_s

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Return the seconds."""
        from commission.units.parse import parse

        if isinstance(value, float):
            return value
        try:
            return parse(str(value), Quantity.DURATION, usual="s", low=self.low_s, high=self.high_s).si
        except InputError as error:
            self.fail(str(error), param, ctx)


class UncertainType(click.ParamType[Uncertain]):
    """A value with or without its uncertainty, such as ``1.2 L`` or ``1.2 L +- 5 %``."""

    name = "Q"

    def __init__(self, quantity: Quantity = Quantity.VOLUME) -> None:
        self.quantity = quantity

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Uncertain:
        """Return value and uncertainty in SI."""
        from commission.units.parse import parse_with_uncertainty

        try:
            measured, u = parse_with_uncertainty(str(value), self.quantity)
        except InputError as error:
            self.fail(str(error), param, ctx)
        if measured.si <= 0:
            self.fail(f"{value} is not above 0", param, ctx)
        return Uncertain(measured.si, u)


class VolumeType(UncertainType):
    """A volume with or without its uncertainty."""


class AmountType(click.ParamType[Measured]):
    """An amount, a volume or a weight; nothing at all is one too."""

    name = "Q"

    def __init__(self, *quantities: Quantity) -> None:
        self.quantities = quantities

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Measured:
        """Return the value in SI, with its quantity."""
        if isinstance(value, Measured):
            return value
        try:
            return amount(str(value), *self.quantities)
        except InputError as error:
            self.fail(str(error), param, ctx)


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
