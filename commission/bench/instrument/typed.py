"""An instrument while it is typed: typical figures to start from, each changed by typing its word and a value."""

import re

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.line_pattern import read_line_pattern, read_port
from commission.base.own_headings import read_own_headings
from commission.base.quantity import Quantity
from commission.base.text import clip
from commission.bench.ask import change_of, date_of, listed, one_of
from commission.bench.figures import step_quantity
from commission.procedure.model import TypicalInstrument
from commission.record.machine.instrument import GaugeFace, Instrument, InstrumentKind
from commission.units.lookup import find_unit
from commission.units.parse import parse
from commission.units.worded import worded

WORDS = {
    "name": "name NAME: what it is called here",
    "unit": "unit UNIT: of its face",
    "step": "step FIGURE: of its display, or from mark to mark",
    "accuracy": "accuracy FIGURE: by its maker",
    "range": "range LOWEST to HIGHEST: what it can show",
    "calibrated": "calibrated DATE: when it was last compared",
    "face": "face dial: it has a needle; or face digital",
    "tapped": "tapped yes: whether a needle is tapped before it is read",
    "columns": "columns HEADS: those of its logger's tables, such as time=Zeit, gauge=Druck [mbar]",
    "port": "port NAME: where it prints lines, such as /dev/ttyUSB0 9600",
    "pattern": "pattern LINE: how such a line looks, such as P={} mbar",
}
"""What can be changed."""


def from_typical(text: str, typical: tuple[TypicalInstrument, ...]) -> Instrument:
    """Return an instrument as such ones usually are, without an id.

    Raises
    ------
    InputError
        If none, or more than one, is meant.
    """
    kinds = [one for one in typical if one.kind == text.strip().casefold()]
    names = {one.name: one.name for one in typical}
    if len(kinds) > 1:
        raise InputError(f"there are several: type {listed([one.name for one in kinds])}")
    chosen = kinds[0] if kinds else next(one for one in typical if one.name == one_of(text, names, "instrument"))
    return Instrument(
        instrument_id="",
        kind=InstrumentKind(chosen.kind),
        name=chosen.name,
        unit=chosen.unit,
        resolution=chosen.resolution,
        accuracy=chosen.accuracy,
        low=chosen.low,
        high=chosen.high,
        face=GaugeFace(chosen.face),
    )


def changed(draft: Instrument, text: str) -> Instrument:
    """Return the instrument with one thing changed.

    Raises
    ------
    InputError
        If the word or the value cannot be understood.
    """
    word, rest = change_of(text, WORDS)
    match word:
        case "name":
            return replace(draft, name=rest[:80])
        case "unit":
            return replace(draft, unit=find_unit(rest, draft.quantity).plain)
        case "step":
            return replace(draft, resolution=_step(draft, rest))
        case "accuracy":
            return replace(draft, accuracy=_accuracy(draft, rest))
        case "range":
            return _ranged(draft, rest)
        case "face" | "tapped":
            return (with_face if word == "face" else with_tapping)(draft, rest)
        case "columns" | "port" | "pattern":
            return with_table_or_lines(draft, word, rest)
        case _:
            return replace(draft, calibrated_on=date_of(rest))


def with_face(draft: Instrument, text: str) -> Instrument:
    """Return a gauge with digits or with a needle.

    Raises
    ------
    InputError
        If it is no gauge, or neither of both is meant.
    """
    face = GaugeFace(one_of(text, {"digital": "digital", "dial": "dial"}, "face"))
    if draft.quantity is Quantity.TEMPERATURE or draft.kind is InstrumentKind.BAROMETER:
        raise InputError(f"only a gauge has a face; {clip(draft.name)} is a {draft.kind}")
    return replace(draft, face=face, tapped=draft.tapped and face is GaugeFace.DIAL)


def with_tapping(draft: Instrument, text: str) -> Instrument:
    """Return a dial that is tapped before each reading, or is not.

    Raises
    ------
    InputError
        If it is no dial, or neither yes nor no is meant.
    """
    if draft.face is not GaugeFace.DIAL:
        raise InputError("only the needle of a dial is tapped; type face dial first")
    word = text.strip().casefold()
    if word not in ("yes", "y", "no", "n"):
        raise InputError(f"{clip(text)}: type yes or no")
    return replace(draft, tapped=word[0] == "y")


def with_table_or_lines(draft: Instrument, word: str, text: str) -> Instrument:
    """Return an instrument with the columns of its logger's table, its serial port, or the line it prints there.

    Raises
    ------
    InputError
        If that names no columns, no port or no line.
    """
    {"columns": read_own_headings, "port": read_port, "pattern": read_line_pattern}[word](text)
    match word:
        case "columns":
            return replace(draft, columns=text)
        case "port":
            return replace(draft, port=text)
        case _:
            return replace(draft, pattern=text)


def with_marks(draft: Instrument, text: str) -> Instrument:
    """Return a dial read to the nearest mark or to a quarter of a division, from such as ``20 mbar quarter``.

    Raises
    ------
    InputError
        If the distance between two marks is not above 0, or it cannot be told how finely it is read.
    """
    figure, word = _read_to(text)
    division = parse(figure, step_quantity(draft), usual=draft.unit).si
    if division <= 0:
        raise InputError(worded("two marks must be more than 0 apart; type such as 20 mbar mark"))
    return replace(draft, division=division, resolution=division / 4 if word == "quarter" else division)


def _read_to(text: str) -> tuple[str, str]:
    figure, _, last = text.strip().rpartition(" ")
    word = next((known for known in ("mark", "quarter") if last and known.startswith(last.casefold())), "")
    if not figure or not word:
        raise InputError(
            worded(f"{clip(text)}: type the distance between two marks, then mark or quarter, as 20 mbar mark")
        )
    return figure, word


def _step(draft: Instrument, text: str) -> float:
    value = parse(text, step_quantity(draft), usual=draft.unit).si
    if value <= 0:
        raise InputError("one step of the display must be above 0; type such as step 0.1")
    return value


def _accuracy(draft: Instrument, text: str) -> float:
    """Return the largest error; a figure in %, as dial gauges state it, is of the full scale."""
    bare = text.lstrip("±+- ").strip()
    if bare.endswith("%"):
        if draft.quantity is Quantity.TEMPERATURE:
            raise InputError(
                worded("the accuracy of a thermometer is a temperature difference; type such as accuracy 0.5 K")
            )
        return parse(bare, Quantity.RATIO).si * draft.high
    return abs(parse(bare, step_quantity(draft), usual=draft.unit).si)


def _ranged(draft: Instrument, text: str) -> Instrument:
    ends = re.split(r"\s+to\s+|\.\.+|\s+-\s+|…", text)
    if len(ends) == 1:
        ends = ["0", *ends] if draft.kind is InstrumentKind.GAUGE else ends
    if len(ends) != 2:
        raise InputError(f"{clip(text)} is no range; type such as range 0 to 1000 {draft.unit}")
    unit = ends[1].strip().lstrip("0123456789.,+-− ") or draft.unit
    low, high = (parse(end, draft.quantity, usual=unit).si for end in ends)
    if not low < high:
        raise InputError(f"{clip(text)}: a range goes from low to high")
    return replace(draft, low=low, high=high)
