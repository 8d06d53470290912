"""What is recorded of a handover, and of the visits after it."""

from typing import ClassVar

from commission.base.frozen import Frozen
from commission.stages.fill.model.fill import Pour
from commission.stages.handover.model import HandoverVerdict, Interval, ServiceItem


class SparesNamed(Frozen):
    """Spare parts and the bottle that go along were named."""

    KIND: ClassVar[str] = "spares named"
    spares: tuple[str, ...]
    """Spare parts; none where none go along."""
    bottle: str
    """The coolant for topping up, as named; empty where none goes along."""


class CoolantLifeRead(Frozen):
    """It was read off the bottle how long the coolant may stay in."""

    KIND: ClassVar[str] = "coolant life read"
    life_s: float | None
    """That time [s]; None where the bottle states none."""
    typed: str = ""
    """As typed."""


class HandedOver(Frozen):
    """The machine was handed over, or handed back after a visit."""

    KIND: ClassVar[str] = "handed over"
    attempt: int
    """Which handover, from 1."""
    to: str
    """To whom; ``own use`` where the builder keeps it."""
    plan: tuple[Interval, ...]
    """What is due from then on, and how often."""
    verdict: HandoverVerdict
    """That nothing held it up."""
    program: str
    """Version of the program that judged."""


class VisitBegun(Frozen):
    """A service visit began: the machine is on the bench again."""

    KIND: ClassVar[str] = "visit begun"
    attempt: int
    """The handover that it ends in, from 1."""
    why: str
    """Why, in the builder's words."""


class ToppedUp(Frozen):
    """Coolant was topped up to the mark on a visit."""

    KIND: ClassVar[str] = "topped up on a visit"
    attempt: int
    """The handover that the visit ends in, from 1."""
    pour: Pour
    """From where and how much."""
    usual_m3: float
    """So much is usual since the level last stood at the mark, by the procedure, less earlier top-ups of the visit
    [m3]."""


class ServiceDone(Frozen):
    """Something of the service plan was done."""

    KIND: ClassVar[str] = "service done"
    attempt: int
    """The handover that the visit ends in, from 1."""
    item: ServiceItem
    """What."""
    note: str = ""
    """What was seen, in the builder's words."""


HandoverEntry = SparesNamed | CoolantLifeRead | HandedOver | VisitBegun | ToppedUp | ServiceDone
"""Every kind of entry of a handover and of its visits."""
