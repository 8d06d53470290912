"""Coolants and shares on the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from commission.base.errors import InputError
from commission.base.quantity import Quantity
from commission.shell.quantity_type import TextType
from commission.stages.fill.model.coolant import GLYCOLS, Base, Basis

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.stages.fill.judge.liquid import Liquid


class BaseType(TextType[Base]):
    """What a coolant is made of, with dashes or blanks between the words."""

    name = "BASE"

    def read(self, text: str) -> Base:
        """Return the base."""
        words = " ".join(text.replace("-", " ").replace("_", " ").casefold().split())
        for base in Base:
            if words == base:
                return base
        known = ", ".join(base.replace(" ", "-") for base in Base)
        raise InputError(f'"{text}" is no base of a coolant; choose {known}')


class ShareType(TextType[float]):
    """A share, such as ``0.30`` or ``30 %``."""

    name = "SHARE"

    def read(self, text: str) -> float:
        """Return the share, 0 to 1."""
        from commission.units.parse import parse

        share = parse(text, Quantity.RATIO).si
        if not 0 <= share <= 1:
            percent = "" if "%" in text else f'; type "{text} %" if per cent are meant'
            raise InputError(f'"{text}" is no share from 0 to 1{percent}')
        return share


def share_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options for a share of glycol with its basis."""
    for basis, what in ((Basis.VOLUME, "by volume"), (Basis.MASS, "by mass")):
        help_text = f'Share of glycol {what}, such as 0.30 or "30 %".'
        command = click.option(f"--{basis}-fraction", f"{basis}_fraction", type=ShareType(), help=help_text)(command)
    return command


def mass_share(base: Base, by_mass: float | None, by_volume: float | None) -> float:
    """Return the mass fraction that was typed on either basis; 0 for water.

    Raises
    ------
    InputError
        If a glycol has none, both are given, or a share by volume is beyond the published table.
    """
    if by_mass is not None and by_volume is not None:
        raise InputError("the share was typed by mass and by volume; type one of them")
    if by_volume is not None:
        return by_basis(base, by_volume, Basis.VOLUME)
    if by_mass is None and base in GLYCOLS:
        raise InputError(f"the share of {base} is missing: type --mass-fraction or --volume-fraction; they differ")
    return by_mass or 0.0


def by_basis(base: Base, share: float, basis: Basis) -> float:
    """Return the mass fraction of a share on some basis.

    Raises
    ------
    InputError
        If a share by volume is beyond the published table.
    """
    from commission.physics.glycol_fraction import mass_from_volume_fraction
    from commission.stages.fill.judge.liquid import GLYCOL_OF

    if basis is Basis.MASS or share in (0.0, 1.0) or base not in GLYCOLS:
        return share
    try:
        return mass_from_volume_fraction(GLYCOL_OF[base], share)
    except ValueError:
        raise InputError(f"{100 * share:g} % by volume is above the published table; type the share by mass") from None


def liquid_from(base: Base, mass_fraction: float) -> Liquid:
    """Return the liquid of a base and a mass fraction.

    Raises
    ------
    InputError
        If nothing is published for it.
    """
    from commission.physics.glycol import HIGHEST_FRACTION
    from commission.stages.fill.judge.liquid import GLYCOL_OF, NOT_KNOWN, WATER, Liquid

    if base not in GLYCOLS:
        if mass_fraction:
            raise InputError(f"{base} states no share of glycol; leave the fraction out, or name the glycol")
        return WATER if base is Base.WATER else NOT_KNOWN
    if mass_fraction > HIGHEST_FRACTION:
        raise InputError(
            f"{100 * mass_fraction:g} % by mass is outside the published range, 0 to {100 * HIGHEST_FRACTION:g} %; "
            "nothing is extrapolated"
        )
    return Liquid(glycol=GLYCOL_OF[base], mass_fraction=mass_fraction)
