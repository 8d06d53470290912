"""The duty that each zone was left at, and what that does to its sound: an estimate."""

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase


class DutyLeft(Frozen):
    """The duty that one chain was left at."""

    chain: str
    """The chain."""
    zone: str
    """The part of the machine that it serves; empty where none was named."""
    duty_pct: float
    """The duty [%]."""
    rpm: float | None
    """Speed at it [rpm]; None where it was not read."""
    full_rpm: float | None
    """Speed at full duty, from the sweep [rpm]; None where there was none."""
    fans: int = 1
    """How many equal fans share the chain."""
    level_db: float | None = None
    """Sound level of one fan at full speed that its maker states [dB]; None where not known."""
    minimum_pct: float | None = None
    """Smallest duty that the sweep advised [%]; None where it advised none."""
    reason: str = ""
    """Why it may stay at a duty that the sweep does not support, as typed; empty where no reason was."""


class SoundEstimate(Frozen):
    """What the duty of one chain does to its sound, by the fan laws; an estimate."""

    chain: str
    """The chain."""
    change_db: float
    """Change of its level against full speed, by 50 log10 of the speeds [dB]."""
    change_high_db: float
    """The same by 55 log10: the other edge of the estimate [dB]."""
    flow_share: float
    """Flow over flow at full speed [1]."""
    level_db: float | None
    """Level of all its fans together at the duty [dB]; None where the label gives none."""


class DutyPlan(Frozen):
    """All chains with the duties they were left at."""

    left: tuple[DutyLeft, ...]
    """What was left, in the order typed."""
    sound: tuple[SoundEstimate, ...]
    """An estimate for each chain whose speeds are known."""
    total_db: float | None
    """Level of all chains together [dB]; None unless every chain has one."""
    warnings: tuple[Phrase, ...]
    """Duties below what a sweep advised."""
    notes: tuple[Phrase, ...]
    """What the estimate does not say."""
