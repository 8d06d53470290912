"""A hold in one line: name, volume, gauge, test pressure and the lowest rating; all else is assumed, and says so."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import Frozen, replace
from commission.base.quantity import Quantity
from commission.base.text import clip
from commission.bench.instrument.typed import changed, from_typical, with_marks
from commission.stages.pressure_hold.typed.volume import typed_volume
from commission.units.parse import parse
from commission.units.tables import BY_SPELLING
from commission.units.worded import worded

if TYPE_CHECKING:
    from commission.base.quantity import Measured
    from commission.procedure.model import TypicalInstrument
    from commission.record.machine.instrument import Instrument
    from commission.record.machine.loop import LoopVolume

EXAMPLE = "quick North 1.2 L digital 1 mbar 0.4 bar max 0.8 bar"
"""Such a line."""
LARGER_FULL_SCALE = 2.5
"""Full scale of a gauge for pressures above that of the usual one, in usual full scales [1]; our choice: the next
larger range that gauges are sold in."""

_FIGURE = r"[0-9][0-9.,]*\s*[A-Za-zµ]+"
_ANY = re.compile(r"(?<=\s)([0-9][0-9.,]*)\s*([A-Za-zµ]+)(?=[\s,;]|$)")
_BARE = re.compile(r"(?<=\s)([0-9][0-9.,]*)(?=\s+(?:digital|dial)\b)", re.IGNORECASE)
_GAUGE = re.compile(rf"\b(digital|dial)\s+({_FIGURE})(?:\s+(mark|quarter)\b)?", re.IGNORECASE)
_RATING = re.compile(rf"\b(?:max|rating)\s+({_FIGURE})", re.IGNORECASE)


class QuickLine(Frozen):
    """What was typed of a quick hold; everything else is assumed."""

    name: str
    """What the build is called."""
    volume: LoopVolume
    """The volume of the loop, which counts as guessed."""
    gauge: Instrument
    """The gauge as such ones usually are, with the face and the step that were typed; without an id."""
    target: Measured
    """The test pressure [Pa gauge]."""
    rating: Measured
    """The lowest rating of everything in the loop [Pa gauge]."""


def quick_line(text: str, typical: tuple[TypicalInstrument, ...]) -> QuickLine:
    """Return what a line says behind the word ``quick``, such as ``North 1.2 L dial 20 mbar 0.4 bar max 0.8 bar``.

    Raises
    ------
    InputError
        If one of the five is missing or cannot be read; the message says which.
    """
    volume = next((one for one in _ANY.finditer(text) if one[2] in BY_SPELLING[Quantity.VOLUME]), None)
    if volume is None and (bare := _BARE.search(text)):
        raise InputError(f"{bare[1]} has no unit; type the volume of the loop with one, such as {bare[1]} L")
    name = text[: volume.start()].strip(" ,;") if volume else ""
    if volume is None or not name:
        raise InputError(f"{clip(text) or 'quick'}: a name and the loop's volume come first, as in: {EXAMPLE}")
    rest = text[volume.end() :]
    said, rest = _taken(_GAUGE, rest, worded("the gauge is missing; type such as digital 1 mbar, or dial 20 mbar mark"))
    rated, rest = _taken(
        _RATING, rest, worded("the lowest rating of everything in the loop is missing; type such as max 0.8 bar")
    )
    if not rest:
        raise InputError(f"the test pressure is missing; type it as in: {EXAMPLE}")
    target, rating = (_pressure(one) for one in (rest, rated[1]))
    return QuickLine(
        name=name,
        volume=typed_volume(volume[0]),
        gauge=_gauge(said, typical, target.si),
        target=target,
        rating=rating,
    )


def _taken(pattern: re.Pattern[str], text: str, otherwise: str) -> tuple[re.Match[str], str]:
    found = pattern.search(text)
    if found is None:
        raise InputError(otherwise)
    return found, f"{text[: found.start()]} {text[found.end() :]}".strip(" ,;")


def _pressure(text: str) -> Measured:
    value = parse(text, Quantity.GAUGE_PRESSURE)
    if value.si <= 0:
        raise InputError(f"{clip(text)}: test pressure and rating must be above 0")
    return value


def _gauge(said: re.Match[str], typical: tuple[TypicalInstrument, ...], target_pa: float) -> Instrument:
    """Return the gauge; a needle counts as read to the mark and not tapped, which is the wider."""
    face = said[1].casefold()
    usual = next(one for one in typical if one.kind == "gauge" and one.face == face)
    gauge = changed(from_typical(usual.name, typical), f"unit {said[2].lstrip('0123456789., ')}")
    if target_pa > gauge.high:
        larger = LARGER_FULL_SCALE
        gauge = replace(gauge, high=larger * gauge.high, accuracy=larger * gauge.accuracy)
    dial = face == "dial"
    gauge = with_marks(gauge, f"{said[2]} {said[3] or 'mark'}") if dial else changed(gauge, f"step {said[2]}")
    return replace(gauge, name=f"{face} gauge {said[2]}")
