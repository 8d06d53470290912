"""What the record keeps of the last pressure hold for whoever works at the loop after it."""

from commission.base.frozen import Frozen
from commission.record.machine.loop import LoopVolume


class Held(Frozen):
    """The loop stood under test pressure until it was judged."""

    gauge_pa: float
    """Highest pressure that it saw, by the plan or by a gauge [Pa gauge]."""
    air_k: float | None
    """Temperature of the room as last read in it [K]; None where it was not."""
    let_down: bool
    """Whether the pressure was let down since, and the gauge seen at zero."""
    left_out: tuple[str, ...] = ()
    """Names of the parts that it did not test."""
    volume: LoopVolume | None = None
    """Volume that it was judged by; None where nobody knew, or the loop was changed since."""
