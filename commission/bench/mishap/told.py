"""What was told of a mishap so far."""

from commission.base.frozen import Frozen
from commission.base.quantity import Measured


class Told(Frozen):
    """The answers so far; None or empty where nothing was answered yet."""

    what: str
    """Which card was called: one of `Mishap`, ``help``, ``repaired``, or one of first aid."""
    build_id: str = ""
    """The build; empty where it is to be asked."""
    where: str = ""
    """The part, joint or place."""
    seen: str = ""
    """What was seen."""
    acted: bool = False
    """Whether the first actions were done."""
    from_bottle: bool | None = None
    """Whether what was spilled came from the bottle."""
    on_electronics: bool | None = None
    """Whether it reached something electrical."""
    amount: Measured | None = None
    """About how much it was."""
    measured: bool = False
    """Whether how much it was is answered, even if nobody knows."""
    defect: int = 0
    """Number of the entry of the defect that was repaired."""
    proposal: str | None = None
    """What is proposed for what was seen."""
    last: str = ""
    """The last answer as understood."""
