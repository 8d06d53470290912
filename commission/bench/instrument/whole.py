"""An instrument that is described at once, not question by question."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.bench.ask import one_of
from commission.bench.instrument.face_form import needs_face
from commission.bench.instrument.typed import changed, from_typical, with_face, with_marks, with_tapping
from commission.bench.names import free_name
from commission.record.machine.instrument import GaugeFace
from commission.units.worded import worded

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.record.logbook import Logbook
    from commission.record.machine.instrument import Instrument

ORDER = (
    "face",
    "unit",
    "range",
    "marks",
    "tapped",
    "step",
    "accuracy",
    "calibrated",
    "name",
    "columns",
    "port",
    "pattern",
)
"""Figures in the order in which they are taken: a unit before what is typed in it."""


def whole_instrument(book: Logbook, what: str, figures: Mapping[str, str]) -> Instrument:
    """Return an instrument with the usual figures but those that are typed, under a free name and a new id.

    Parameters
    ----------
    book
        The logbook, for the names that are taken.
    what
        Which instrument, such as ``thermometer`` or ``dial gauge``.
    figures
        What is typed, by the words of `ORDER`.

    Raises
    ------
    InputError
        If it cannot be understood, or of a gauge it is not said whether it has digits or a needle, and how a needle is
        read.
    """
    draft = from_typical(what, book.new_procedure.typical_instruments)
    for word in ORDER:
        if word in figures:
            draft = _with(draft, word, figures[word])
    if needs_face(draft):
        if draft.face is GaugeFace.UNKNOWN:
            raise InputError("has the gauge digits or a needle? say face digital or face dial")
        for word, why in (("marks", worded("20 mbar mark, or 20 mbar quarter")), ("tapped", "yes or no")):
            if word not in figures:
                raise InputError(f"of a dial say {word} too: {why}")
    taken = frozenset(one.name for one in book.shop().instruments)
    name = draft.name if "name" in figures else free_name(draft.name, taken)
    return replace(draft, name=name, instrument_id=book.new_id())


def corrected_instrument(book: Logbook, name: str, figures: Mapping[str, str]) -> Instrument:
    """Return an instrument in use that is described again under its own id, with other figures where these are typed.

    Raises
    ------
    InputError
        If there is no such instrument, or a figure cannot be understood.
    """
    shop = {one.instrument_id: one for one in book.shop().instruments}
    if not shop:
        raise InputError("no instrument is described yet")
    draft = shop[one_of(name, {key: one.name for key, one in shop.items()}, "instrument in use")]
    for word in ORDER:
        if word in figures:
            draft = _with(draft, word, figures[word])
    return draft


def _with(draft: Instrument, word: str, typed: str) -> Instrument:
    match word:
        case "face":
            return with_face(draft, typed)
        case "marks":
            return with_marks(draft, typed)
        case "tapped":
            return with_tapping(draft, typed)
        case _:
            return changed(draft, f"{word} {typed}")
