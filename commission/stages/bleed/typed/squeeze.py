"""What is typed for a squeeze, one answer a line, and the check that the answers make."""

import math
from typing import TYPE_CHECKING

from commission.base.errors import InputError, in_words
from commission.base.frozen import Frozen
from commission.base.quantity import Measured, Quantity
from commission.physics.detection import rectangular_uncertainty
from commission.physics.gas import STANDARD_ATMOSPHERE_PA, absolute_pressure
from commission.procedure.stage_ids import FILL
from commission.record.machine.instrument import InstrumentKind
from commission.stages.bleed.model import SqueezeCheck
from commission.stages.fill.typed.reservoir import EXAMPLE
from commission.units.number import readable, split_number
from commission.units.parse import parse, parse_or_zero, parse_with_uncertainty
from commission.units.tables import BY_SPELLING
from commission.units.worded import worded

if TYPE_CHECKING:
    from commission.stages.fill.at_hand import CoolantAtHand

GAUGE_U_PA = 300.0
"""Standard uncertainty of a gauge that is not described [Pa]; our choice: a quarter of a dial's 20 mbar division."""
SOFT_MODULUS_PA = 10e6
"""Stiffness of soft tubes of plasticised PVC or rubber [Pa]; our choice: the middle of what makers of such tubes
state (from memory)."""
U_COMPLIANCE = 0.5
"""Relative standard uncertainty of what soft tubes give [1]; they creep, and nobody knows them better."""


class Squeeze(Frozen):
    """A squeeze as far as it was typed; volumes with their standard uncertainty [m3]."""

    before: Measured | None = None
    """What the gauge showed before."""
    after: Measured | None = None
    """What it showed after."""
    fall: tuple[float, float] = (0.0, 0.0)
    """Fall of the level as a volume."""
    waited_s: float = 0.0
    """How long the pressure had stood [s]."""
    give_m3_pa: float = 0.0
    """How much the tubes widen for each pascal [m3/Pa]."""
    air: tuple[float, float] = (0.0, 0.0)
    """Air that is meant to be above."""


def read_gauge(text: str) -> Measured:
    """Return a gauge pressure; a bare 0 needs no unit."""
    return parse_or_zero(text.strip(), Quantity.GAUGE_PRESSURE, bare_zero=True)


def read_fall(hand: "CoolantAtHand", text: str) -> tuple[float, float]:
    """Return the fall of the level, typed as a volume or a length, and its standard uncertainty [m3].

    Raises
    ------
    InputError
        If it cannot be read, or is a length and the reservoir was not described.
    """
    from commission.physics.vessels import ring_area

    value_text = text.replace("+/-", "±").replace("+-", "±").partition("±")[0]
    if split_number(readable(value_text))[1] not in BY_SPELLING[Quantity.LENGTH]:
        value_m3, u = _volume(text)
        return value_m3, rectangular_uncertainty(hand.stage.limit("resolution_m3")) if u is None else u
    tank = hand.coolant.reservoir
    if tank is None:
        raise InputError(f"what is a mm worth? Type the fall in mL, or Esc and {worded(EXAMPLE)} first")
    value, u = parse_with_uncertainty(text, Quantity.LENGTH)
    area = ring_area(tank.bore_m, tank.insert_m)
    usual = hand.book.procedure(hand.state).stage(FILL).limit("level_u_m") * 2**0.5
    return area * value.si, area * (usual if u is None else u)


def read_give(text: str) -> float:
    """Return how much tubes widen for each pascal, of their inner diameter, wall and length [m3/Pa].

    Raises
    ------
    InputError
        If it cannot be read.

    Examples
    --------
    >>> read_give("none")
    0.0
    """
    from commission.physics.trapped_air import tube_compliance

    if text.strip().casefold() in ("none", "no", "hard"):
        return 0.0
    words = text.split()
    unit_of = [n for n, word in enumerate(words) if word[:1].isdigit()]
    if len(unit_of) != 3:
        raise InputError(worded("type inner diameter, wall and length, such as 10 mm 3 mm 1.5 m; or none"))
    ends = [*unit_of[1:], len(words)]
    pieces = (" ".join(words[a:b]) for a, b in zip(unit_of, ends, strict=True))
    bore, wall, length = (parse(piece, Quantity.LENGTH).si for piece in pieces)
    with in_words():
        return tube_compliance(math.pi / 4 * bore**2 * length, bore, wall, SOFT_MODULUS_PA)


def read_air(text: str) -> tuple[float, float]:
    """Return a volume of air and its standard uncertainty, 0 where none was typed [m3]."""
    value, u = _volume(text)
    return value, 0.0 if u is None else u


def _volume(text: str) -> tuple[float, float | None]:
    stripped = readable(text)
    if "±" not in stripped and "+-" not in stripped and split_number(stripped)[0].value == 0:
        return parse_or_zero(text, Quantity.VOLUME, bare_zero=True).si, None
    value, u = parse_with_uncertainty(text, Quantity.VOLUME)
    return value.si, u


def check_of(hand: "CoolantAtHand", typed: Squeeze) -> SqueezeCheck:
    """Return the check that a squeeze makes, with the coolant and the gauge of this build."""
    from commission.stages.fill.judge.mixture import fold_movements

    assert typed.before is not None  # both are asked for before this
    assert typed.after is not None
    gauge = next((one for one in hand.shop.instruments if one.kind is InstrumentKind.GAUGE), None)
    u_gauge = rectangular_uncertainty(gauge.resolution) if gauge is not None else GAUGE_U_PA
    states = fold_movements(hand.coolant.movements)
    at_k, _ = hand.temperature()
    return SqueezeCheck(
        first_pa=absolute_pressure(typed.before.si, STANDARD_ATMOSPHERE_PA),
        u_first_pa=u_gauge,
        second_pa=absolute_pressure(typed.after.si, STANDARD_ATMOSPHERE_PA),
        u_second_pa=u_gauge,
        fall_m3=typed.fall[0],
        u_fall_m3=typed.fall[1],
        compliance_m3_pa=typed.give_m3_pa,
        u_compliance_m3_pa=U_COMPLIANCE * typed.give_m3_pa,
        liquid_m3=states[-1].volume_m3 if states else 0.0,
        liquid_k=at_k.value,
        headspace_m3=typed.air[0],
        u_headspace_m3=typed.air[1],
        waited_s=typed.waited_s,
        inputs=(typed.before, typed.after),
    )
