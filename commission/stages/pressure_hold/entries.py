"""What is done at the bench before pressure goes on: parts rated or left out of the test, the source taken off."""

from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar

from commission.stages.build_sheet.entries import PartLeftOut, PartRated


class SourceOff(StrEnum):
    """How the source of pressure was kept from feeding the loop during a hold."""

    HOSE_OFF = "hose off"
    VENTED = "valve shut, line vented"
    VALVE_ONLY = "valve only"


def source_named(text: str) -> SourceOff | None:
    """Return the answer that a text means, by its whole words or its first ones; None where none or several fit.

    Examples
    --------
    >>> source_named(" Hose off"), source_named("valve shut"), source_named("valve")
    (<SourceOff.HOSE_OFF: 'hose off'>, <SourceOff.VENTED: 'valve shut, line vented'>, None)
    """
    wanted = " ".join(text.casefold().split())
    fits = [how for how in SourceOff if wanted and str(how).startswith(wanted)]
    return fits[0] if len(fits) == 1 else None


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceIsolated:
    """The source was taken off, or its valve was shut, before the clock started."""

    KIND: ClassVar[str] = "source isolated"
    attempt: int
    """Which attempt at the hold, from 1."""
    how: SourceOff
    """How."""


BenchEntry = SourceIsolated | PartRated | PartLeftOut
"""Every kind of entry about what comes before pressure."""
