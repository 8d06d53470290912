"""Values with units on the command line, read by the same strict grammar as everywhere else."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import click

from commission.domain.errors import UnitError
from commission.domain.quantity import Quantity


@dataclass(frozen=True, slots=True)
class Uncertain:
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
        except UnitError as error:
            self.fail(str(error), param, ctx)
        if self.above_zero and si <= 0:
            self.fail(f"{value} is not above 0", param, ctx)
        return si


class VolumeType(click.ParamType[Uncertain]):
    """A volume with or without its uncertainty, such as ``1.2 L`` or ``1.2 L +- 5 %``."""

    name = "Q"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Uncertain:
        """Return volume and uncertainty in SI."""
        from commission.units.parse import parse_with_uncertainty

        try:
            measured, u = parse_with_uncertainty(str(value), Quantity.VOLUME)
        except UnitError as error:
            self.fail(str(error), param, ctx)
        return Uncertain(measured.si, u)


AUTO = -1.0
"""Stands for ``auto`` where a duration is asked for; no duration is below 0."""
