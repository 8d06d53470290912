"""The reservoir and its level as one typed line each."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from commission.base.errors import InputError, in_words
from commission.base.quantity import Measured, Quantity
from commission.base.text import clip
from commission.bench.deed import Deed, numbered, said
from commission.record.machine.parts import Part, PartKind
from commission.stages.fill.entries import LevelRead
from commission.stages.fill.model.fill import Reservoir
from commission.stages.fill.work.fills import Fills
from commission.stages.fill.work.levels import hidden_by, undone_by
from commission.units.chosen import bare_unit, unit_for
from commission.units.lookup import find_unit
from commission.units.number import readable, split_number
from commission.units.parse import parse, parse_or_zero
from commission.units.registry import scale
from commission.units.show import show
from commission.units.tables import BY_SPELLING
from commission.units.worded import worded

if TYPE_CHECKING:
    from commission.stages.fill.at_hand import CoolantAtHand

EXAMPLE = "reservoir 60 mm 200 mm"
"""How a reservoir is typed."""
WIDTHS = 2.0
"""Standard uncertainties of a listed volume beyond which it is told [1]; our choice: the usual 95 %."""


def read_reservoir(text: str) -> Reservoir:
    """Return the reservoir of ``60 mm 200 mm insert 12 mm cap 30 mL``: inner diameter, height of the straight part.

    Raises
    ------
    InputError
        If it cannot be read.

    Examples
    --------
    >>> read_reservoir("60 200 mm cap 30 mL").height_m
    0.2
    """
    from commission.stages.fill.typed.amount import two_values

    words = text.split()
    pieces: dict[str, list[str]] = {"": []}
    at = ""
    for word in words:
        if word.casefold() in ("insert", "cap"):
            at = word.casefold()
            pieces[at] = []
        else:
            pieces[at].append(word)
    try:
        both = two_values(" ".join(pieces[""]), Quantity.LENGTH, "reservoir")
    except InputError:
        both = ()
    if len(both) != 2:
        such = f"type inner diameter and height of the straight part, such as {worded(EXAMPLE)}"
        raise InputError(f"{clip(text)}: {such}" if text.strip() else such)
    insert = parse(" ".join(pieces["insert"]), Quantity.LENGTH).si if "insert" in pieces else 0.0
    above = parse(" ".join(pieces["cap"]), Quantity.VOLUME).si if "cap" in pieces else 0.0
    return Reservoir(bore_m=both[0].si, height_m=both[1].si, insert_m=insert, above_m3=above)


def reservoir_deed(hand: "CoolantAtHand", text: str) -> Deed:
    """Return what describing the reservoir does."""
    from commission.physics.vessels import ring_area
    from commission.stages.fill.judge.level import check_reservoir

    reservoir = read_reservoir(text)
    with in_words():
        check_reservoir(reservoir)
        one = find_unit(unit_for(Quantity.LENGTH, "mm") or "mm", Quantity.LENGTH)
        per_one = ring_area(reservoir.bore_m, reservoir.insert_m) * scale(one)[0]
    told = f"reservoir {reservoir_text(reservoir)}: each {one.symbol} is {show(per_one, Quantity.VOLUME, digits=3)}"
    told += larger_than_listed(reservoir, hand.state.parts)
    return said(told, lambda: hand.book.work(Fills).describe_reservoir(hand.build_id, reservoir))


def larger_than_listed(reservoir: Reservoir, parts: Sequence[Part]) -> str:
    """Return what to check where the straight part alone holds more than the reservoirs of the parts list; else empty.

    >>> larger_than_listed(Reservoir(bore_m=0.06, height_m=0.2), ())
    ''
    """
    from commission.physics.vessels import ring_area

    listed = [part for part in parts if part.kind is PartKind.RESERVOIR]
    most_m3 = sum(part.volume_m3 + WIDTHS * part.u_volume_m3 for part in listed)
    holds_m3 = ring_area(reservoir.bore_m, reservoir.insert_m) * reservoir.height_m
    if not listed or holds_m3 <= most_m3:
        return ""
    both = (show(m3, Quantity.VOLUME, digits=3) for m3 in (holds_m3, sum(part.volume_m3 for part in listed)))
    return "; that holds {}, and the parts list says {}: measure bore and height again".format(*both)


def reservoir_text(reservoir: Reservoir) -> str:
    """Return the dimensions in one line."""
    bore, height = (show(m, Quantity.LENGTH, own="mm") for m in (reservoir.bore_m, reservoir.height_m))
    insert = f", insert {show(reservoir.insert_m, Quantity.LENGTH, own='mm')}" if reservoir.insert_m else ""
    cap = f", cap {show(reservoir.above_m3, Quantity.VOLUME)}" if reservoir.above_m3 else ""
    return f"{bore} x {height}{insert}{cap}"


def level_deed(hand: "CoolantAtHand", text: str, *, stage: str) -> Deed:
    """Return what reading the level does: ``120 mm 23 degC``; the temperature says what warming will do.

    Raises
    ------
    InputError
        If the reservoir was not described, or the level lies outside it.
    """
    from commission.stages.fill.judge.level import headspace_above

    if any(word in BY_SPELLING[Quantity.VOLUME] for word in text.split()):
        raise InputError(worded("level is what the reservoir shows; two marks of a bottle are: marks 900 300 mL"))
    reservoir = hand.coolant.reservoir
    if reservoir is None:
        raise InputError(
            f"what is a mm worth? First type the reservoir's inner diameter and height: {worded(EXAMPLE)}, or run "
            "commission fill reservoir"
        )
    level, coolant = _level(text, hand.degrees)
    with in_words():
        air = headspace_above(reservoir, level.si)
    read = show(level.si, Quantity.LENGTH, own="mm")
    warm = f" at {show(coolant.si, Quantity.TEMPERATURE)}" if coolant else ", temperature not read"
    told = f"level {read}{warm} · {show(air.value, Quantity.VOLUME, digits=3)} of air above"
    seen, now = LevelRead(stage=stage, level=level, coolant=coolant), hand.book.clock.now()
    if takes := undone_by(hand.state, seen, now):
        told += f"; {takes}: read it again"
    elif hides := hidden_by(hand.state, seen, now):
        told += f"; {hides}"
    return numbered(told, lambda: hand.book.work(Fills).read_level(hand.build_id, level, coolant, stage=stage))


def _level(text: str, degrees: str | None) -> tuple[Measured, Measured | None]:
    """Part the level from the temperature of the coolant behind it."""
    words = [word for word in text.split() if word.casefold() not in ("at", "temp")]
    starts = [n for n, word in enumerate(words) if word[:1].isdigit() or word[:1] in "+-−"]
    if not starts or starts[0] != 0 or len(starts) > 2:
        raise InputError(
            worded("type the level above the zero mark and the coolant's temperature: level 120 mm 23 degC")
        )
    split = starts[1] if len(starts) == 2 else len(words)
    level = _length(" ".join(words[:split]))
    rest = " ".join(words[split:])
    return level, parse(rest, Quantity.TEMPERATURE, usual=degrees) if rest else None


def _length(text: str) -> Measured:
    """Return a level; the zero mark itself is one too."""
    number, unit = split_number(readable(text))
    bare = bare_unit(Quantity.LENGTH, "mm")
    return parse_or_zero(text if unit or not number.value else f"{text} {bare}", Quantity.LENGTH, bare_zero=True)
