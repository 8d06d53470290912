"""What comes into a logbook from a file, or would."""

from commission.base.frozen import Frozen
from commission.record.logged import Head


class Arrival(Frozen):
    """What comes in, and what is refused."""

    head: Head
    """The end of the chain after it."""
    entries: int = 0
    """Entries that are new."""
    builds: tuple[tuple[str, int], ...] = ()
    """Name of each build there, and how many of its entries are new."""
    readings: int = 0
    """Streamed readings that are new."""
    told: tuple[str, ...] = ()
    """Verdicts of another program that this one would not give, each in one line; they come in as they are stored."""
    refusals: tuple[str, ...] = ()
    """What is refused, each in one line; where there is one, nothing comes in."""
