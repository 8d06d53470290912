"""A figure of the machine that is measured again in later years and compared with the first."""

from commission.base.clock import ClockMark
from commission.base.frozen import Frozen
from commission.base.verdict import Bounded


class Compared(Frozen):
    """What one attempt measured."""

    seq: int
    """Number of the entry that ended it."""
    mark: ClockMark
    """When that was."""
    k_per_w: Bounded
    """Coolant above air per watt, with one-sided 95 % bounds [K/W]."""
