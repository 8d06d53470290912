"""The units that one person reads in: chosen once, kept beside the logbook, and asked wherever an amount is worded.

One setting of the process and no argument: some hundred places word an amount, and one that forgot to hand it on would
show a second system beside the first. Nothing stored and no JSON is worded in it (`in_house_units`), and no file is
read by it.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import MappingProxyType

from commission.base.errors import InputError
from commission.base.frozen import Frozen, replace
from commission.base.quantity import Quantity
from commission.base.text import clip

WORD = "units"
"""What is typed before them on any line."""
AS_AT_FIRST = ("default", "defaults")
"""What is typed in place of units to have those of the program again."""


class Chosen(Frozen):
    """The unit of each kind, in its plain spelling; empty where none was chosen."""

    pressure: str = ""
    """``mbar``, ``bar``, ``kPa`` or ``psi``."""
    volume: str = ""
    """``mL`` (and L from one litre on) or ``US fl oz``."""
    temperature: str = ""
    """``degC`` or ``degF``; differences follow."""
    length: str = ""
    """``mm`` (and m), ``cm`` or ``in``."""
    flow: str = ""
    """``L/h``, ``L/min`` or ``US gal/min``."""

    @property
    def text(self) -> str:
        """What was chosen, as it would be typed; empty where nothing was."""
        return " ".join(filter(None, (getattr(self, kind) for kind in KINDS)))


KINDS: MappingProxyType[str, dict[str, tuple[str, ...]]] = MappingProxyType(
    {
        "pressure": {"mbar": (), "bar": (), "kPa": (), "psi": ()},
        "volume": {"mL": ("l", "ml/l"), "US fl oz": ("fl oz", "us floz", "floz")},
        "temperature": {"degC": ("°c", "c", "deg c"), "degF": ("°f", "f", "deg f")},
        "length": {"mm": ("m",), "cm": (), "in": ("inch", "inches")},
        "flow": {"L/h": (), "L/min": (), "US gal/min": ("gal/min", "us gpm", "gpm")},
    }
)
"""The units of each kind, the program's own first, each with what else may be typed for it."""

_SPELLED = {
    spelling.casefold(): (kind, unit)
    for kind, units in KINDS.items()
    for unit, others in units.items()
    for spelling in (unit, *others)
}
_LONGEST = max(len(spelling.split()) for spelling in _SPELLED)
_KIND_OF = {
    Quantity.GAUGE_PRESSURE: "pressure",
    Quantity.ABSOLUTE_PRESSURE: "pressure",
    Quantity.PRESSURE_DIFFERENCE: "pressure",
    Quantity.VOLUME: "volume",
    Quantity.TEMPERATURE: "temperature",
    Quantity.TEMPERATURE_DIFFERENCE: "temperature",
    Quantity.LENGTH: "length",
    Quantity.FLOW: "flow",
}


class _Held:
    """What this process words amounts in."""

    now = Chosen()
    later: Callable[[], Chosen] | None = None
    of_bare = False
    """Whether a bare number has the person's unit, too: where a prompt shows it."""


def read_units(text: str, before: Chosen | None = None) -> Chosen:
    """Return what was chosen by a line such as ``psi degF fl oz``; kinds that it does not name stay as before.

    Raises
    ------
    InputError
        If it holds no unit or another word, or two units of one kind.

    Examples
    --------
    >>> read_units("PSI fl oz").text
    'psi US fl oz'
    """
    words, chosen, named = text.replace(",", " ").split(), before or Chosen(), set[str]()
    if " ".join(words).casefold() in AS_AT_FIRST:
        return Chosen()
    at = 0
    while at < len(words):
        length = next((n for n in range(_LONGEST, 0, -1) if _spelled(words[at : at + n])), 0)
        found = _spelled(words[at : at + length])
        if found is None:
            raise InputError(f"{clip(words[at])} is no unit to read in; type {offered()}")
        kind, unit = found
        if kind in named:
            raise InputError(f"two units of {kind} were typed; type one")
        named.add(kind)
        chosen = replace(chosen, **{kind: "" if unit == next(iter(KINDS[kind])) else unit})
        at += length
    if not named:
        raise InputError(f"which units? type {offered()}")
    return chosen


def _spelled(words: list[str]) -> tuple[str, str] | None:
    return _SPELLED.get(" ".join(words).casefold())


def offered() -> str:
    """Return what may be typed, kind by kind."""
    return f"{WORD} and one or more: " + "; ".join(", ".join(units) for units in KINDS.values())


def told(chosen: Chosen) -> str:
    """Return in which units everything is shown.

    >>> told(Chosen(pressure="psi"))
    'amounts in psi, mL, degC, mm, L/h'
    """
    units = ", ".join(getattr(chosen, kind) or next(iter(of)) for kind, of in KINDS.items())
    return f"amounts in {units}"


def use_units(chosen: Chosen, *, of_bare: bool = False) -> None:
    """Word every amount from now on in these.

    Parameters
    ----------
    of_bare
        Whether a bare number is read in them, too, where a prompt shows them. A command line has no prompt: what a
        script means must not depend on who runs it.
    """
    _Held.now, _Held.later, _Held.of_bare = chosen, None, of_bare


def use_units_later(load: Callable[[], Chosen]) -> None:
    """Word every amount in what is loaded when the first is worded: most commands word none."""
    _Held.now, _Held.later, _Held.of_bare = Chosen(), load, False


def units_now() -> Chosen:
    """Return what amounts are worded in."""
    if _Held.later is not None:
        _Held.now, _Held.later = _Held.later(), None
    return _Held.now


@contextmanager
def in_house_units() -> Iterator[None]:
    """Word amounts in the program's own units for a while: what is stored, and what programs read."""
    before = units_now()
    _Held.now = Chosen()
    try:
        yield
    finally:
        _Held.now = before


def bare_unit(quantity: Quantity, own: str) -> str:
    """Return the unit of a bare number: the one that the prompt shows, which on a command line is always `own`."""
    return (unit_for(quantity) if _Held.of_bare else None) or own


def face_unit(quantity: Quantity, own: str) -> str | None:
    """Return the unit of a bare number that an instrument with that unit shows; None where it must be typed.

    Where a prompt is in the person's unit and the instrument in another, a bare number could be either.
    """
    theirs = unit_for(quantity) if _Held.of_bare else None
    return own if theirs is None or theirs == own else None


def unit_for(quantity: Quantity, own: str | None = None) -> str | None:
    """Return the unit that a quantity is shown in: the person's, or `own` where none was chosen."""
    kind = _KIND_OF.get(quantity)
    return (getattr(units_now(), kind) if kind else "") or own
