"""Supplies that were described one after the other: what one showed is kept for when it is described again."""

import itertools
import unicodedata

from commission.base.frozen import Frozen
from commission.stages.first_power.entries import CableTested
from commission.stages.first_power.model.ladder import PowerFault
from commission.stages.first_power.model.rails import RailReading


class EarlierSupply(Frozen):
    """What is kept of a supply while another is described."""

    names: tuple[str, ...]
    """Its name, as compared, and those that were withdrawn while it was the one described."""
    faults: tuple[PowerFault, ...] = ()
    """Its cables and voltages that failed, mended or not."""
    plugs: tuple[str, ...] = ()
    """Every plug whose voltages were read on it."""
    made: tuple[str, ...] = ()
    """Every cable that was made or changed by hand for it."""


class Measured(Frozen):
    """What was measured on a supply before another one was described, or it was changed or hurt."""

    supply: str
    """Name of the supply."""
    cables: tuple[CableTested, ...] = ()
    """The last test of each cable."""
    readings: tuple[RailReading, ...] = ()
    """Its voltages as read last."""


def compared(name: str) -> str:
    """Return a name as names are compared: letters and digits alone; one without any keeps its signs.

    >>> compared("Larkspur-850 W."), compared("larkspur 850w"), compared("#")
    ('larkspur850w', 'larkspur850w', '#')
    """
    plain = unicodedata.normalize("NFKC", name).casefold()
    return "".join(sign for sign in plain if sign.isalnum()) or "".join(plain.split())


def merged(*names: tuple[str, ...]) -> tuple[str, ...]:
    """Return names of several lists, each once, in order."""
    return tuple(dict.fromkeys(itertools.chain(*names)))
