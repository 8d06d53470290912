"""The whole machine under power for the first time: what was seen, and what that proves."""

from enum import StrEnum

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase
from commission.base.verdict import Outcome


class PumpSign(StrEnum):
    """How it was told that the pump turns."""

    SPEED = "its speed is shown"
    SEEN = "coolant moves"
    HEARD = "it is heard"
    NONE = "no sign"
    NOT_LOOKED = "not looked"


class MachineStart(Frozen):
    """The whole machine under power for the first time."""

    sign: PumpSign
    """How it was told that the pump turns."""
    after_s: float | None
    """When that was, since power came on [s]; None where there was no sign."""
    pump_rpm: float | None = None
    """Speed shown for the pump [rpm]; None where none was."""
    tach_connected: bool | None = None
    """Whether the pump's tach is connected at all; None where nobody knows."""
    powered_off: bool = False
    """Whether power was switched off again at once."""
    headers_right: bool | None = None
    """Whether each header shows the speed of the chain that sits on it; None where nobody looked."""
    processor_k: float | None = None
    """Temperature that the firmware shows for the processor [K]; None where nobody looked."""
    all_pumps: bool = False
    """Whether each pump was seen to turn, where several are written down."""


class MachineVerdict(Frozen):
    """What the first start of the whole machine proves."""

    outcome: Outcome
    """Pass, fail or inconclusive."""
    power_off: bool
    """Whether power must be switched off at once."""
    reasons: tuple[Phrase, ...]
    """Why, in plain words; the one that decided first."""
