"""From what was typed for a pour to an amount, in the same way whatever moves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.quantity import Measured, Quantity
from commission.shell.quantity_type import amount
from commission.stages.fill.model.fill import ROOM_K, TYPED_U_K, TypedAmount, Way

if TYPE_CHECKING:
    from commission.physics.loop_volume import Uncertain
    from commission.stages.fill.at_hand import CoolantAtHand


def typed_amount(
    single: str | None,
    weighed: tuple[str, str] | None,
    level: tuple[str, str] | None,
    at: str | None,
    *,
    estimated: bool,
) -> TypedAmount:
    """Return the amount that was typed in one of the three ways.

    Raises
    ------
    InputError
        If none or more than one was typed, or a value cannot be read.
    """
    from commission.units.parse import parse

    if sum(way is not None for way in (single, weighed, level)) != 1:
        raise InputError("type how much: AMOUNT, or --weighed BEFORE AFTER, or --marks BEFORE AFTER; one of them")
    warmth = None if at is None else parse(at, Quantity.TEMPERATURE)
    if single is not None:
        value, u = _single(single)
        way = Way.WEIGHED if value.quantity is Quantity.MASS else Way.ESTIMATED if estimated else Way.VOLUME
        return TypedAmount(way=way, values=(value,), u=u, at=warmth)
    if estimated:
        raise InputError("an amount that was measured twice is not estimated; leave --estimated out")
    quantity, way = (Quantity.MASS, Way.WEIGHED) if weighed is not None else (Quantity.VOLUME, Way.LEVEL)
    pair = tuple(amount(one, quantity) for one in weighed or level or ())
    return TypedAmount(way=way, values=pair, u=None, at=warmth)


def _single(text: str) -> tuple[Measured, float | None]:
    from commission.units.parse import parse_with_uncertainty

    if "±" not in text and "+-" not in text and "+/-" not in text:
        return amount(text, Quantity.VOLUME, Quantity.MASS), None
    try:
        return parse_with_uncertainty(text, Quantity.VOLUME)
    except InputError:
        try:
            return parse_with_uncertainty(text, Quantity.MASS)
        except InputError:
            pass
        raise


def temperature_of(typed: TypedAmount, hand: CoolantAtHand) -> tuple[Uncertain, str]:
    """Return the temperature of what was measured, and what had to be assumed of it, empty where nothing had."""
    from commission.physics.loop_volume import Uncertain
    from commission.shell.shown import shown

    if typed.at is not None:
        return Uncertain(typed.at.si, TYPED_U_K), ""
    at_k = hand.room_k or ROOM_K
    from_hold = ", as in the hold" if hand.room_k else ""
    assumed = f"the liquid is at {shown(at_k, Quantity.TEMPERATURE)}{from_hold}; --temp tells it"
    return Uncertain(at_k, hand.stage.limit("bottle_u_k")), assumed
