"""What a person did with headers, chains and sweeps, as past facts."""

from enum import StrEnum
from typing import ClassVar

from commission.base.frozen import Frozen
from commission.record.machine.seats import Chain, Drive, Header, StopCause
from commission.stages.fan_headers.model.all_chains import HeadersVerdict
from commission.stages.fan_headers.model.duties import DutyLeft
from commission.stages.fan_headers.model.layout import Layout
from commission.stages.fan_headers.model.sweep import Sweep, SweepReading, SweepSetup, SweepVerdict


class HeaderAdded(Frozen):
    """A header of the board or of a hub was written down."""

    KIND: ClassVar[str] = "header added"
    header: Header
    """Its description."""


class HeaderSet(Frozen):
    """A header was set another way in the firmware."""

    KIND: ClassVar[str] = "header set"
    header_id: str
    """Which header."""
    set_to: Drive | None
    """How it is set now; None where that is automatic or not known."""
    full_speed_lock: bool
    """Whether it is locked at full speed now."""
    stops: tuple[StopCause, ...]
    """What can still stop a pump on it now."""
    why: str
    """Why, in the builder's words."""


class HeaderRemoved(Frozen):
    """A header is no longer there."""

    KIND: ClassVar[str] = "header removed"
    header_id: str
    """Which header."""
    reason: str
    """Why."""


class ChainAdded(Frozen):
    """A chain of fans or a pump was written down."""

    KIND: ClassVar[str] = "chain added"
    chain: Chain
    """Its description."""


class ChainRemoved(Frozen):
    """A chain was taken out."""

    KIND: ClassVar[str] = "chain removed"
    chain_id: str
    """Which chain."""
    reason: str
    """Why."""


class ChainMoved(Frozen):
    """A chain was plugged in, re-plugged or unplugged."""

    KIND: ClassVar[str] = "chain moved"
    chain_id: str
    """Which chain."""
    header_id: str | None
    """On which header it sits from then on; None: on none."""
    why: str
    """Why, in the builder's words."""
    start_overridden: str = ""
    """The reason for which the check of start current was overridden; empty where it was not."""
    share_overridden: str = ""
    """The reason for which the share of the rating was overridden; empty where it was not."""
    found: bool = False
    """Whether it was found so, plugged by somebody before: then no rule was asked, and what is wrong blocks."""


class SweepSource(StrEnum):
    """Where the speeds of a sweep come from."""

    TYPED = "typed"
    FILE = "file"
    LIVE = "read live"


class SweepBegun(Frozen):
    """A sweep of a chain was begun, level by level; one that was begun before and not ended is given up."""

    KIND: ClassVar[str] = "sweep begun"
    chain_id: str
    """Which chain."""
    header_id: str
    """On which header."""
    source: SweepSource
    """Where its speeds come from."""
    step_rpm: float
    """One step of the display [rpm]."""


class LevelSwept(Frozen):
    """The speeds at one duty were read during the running sweep."""

    KIND: ClassVar[str] = "level swept"
    SHOWN: ClassVar[str] = "sweep point"
    readings: tuple[SweepReading, ...]
    """The readings of this level, in the order in which they were taken."""


class SweepTaken(Frozen):
    """A chain was swept on its header and judged."""

    KIND: ClassVar[str] = "sweep taken"
    chain_id: str
    """Which chain."""
    header_id: str
    """On which header."""
    source: SweepSource
    """Where its speeds come from."""
    sweep: Sweep
    """The readings."""
    setup: SweepSetup
    """What was known of fan and header."""
    verdict: SweepVerdict
    """What it proved."""
    program: str
    """Version of the program that judged."""
    same_as: str = ""
    """The earlier sweep that showed the very same speeds, such as ``front on H1``; empty where none did."""
    done: str = ""
    """What was done since the last sweep of this chain failed; empty where none had failed, or nobody said."""


class SweepAborted(Frozen):
    """The running sweep was aborted: what was read stays in the record and is not judged."""

    KIND: ClassVar[str] = "sweep aborted"
    chain_id: str
    """Which chain."""
    reason: str
    """Why."""


class LayoutChosen(Frozen):
    """A layout was taken as the one to plug."""

    KIND: ClassVar[str] = "layout chosen"
    layout: Layout
    """Which chain goes on which header."""
    why: str
    """Why, in the builder's words."""


class DutyNoted(Frozen):
    """The duty that a chain was left at was written down."""

    KIND: ClassVar[str] = "duty noted"
    chain_id: str
    """Which chain."""
    left: DutyLeft
    """The duty and what is known of the speed at it."""


class HeadersClosed(Frozen):
    """The sweeps of all chains were judged together."""

    KIND: ClassVar[str] = "headers closed"
    SHOWN: ClassVar[str] = "fan headers ended"
    attempt: int
    """Which attempt, from 1."""
    verdict: HeadersVerdict
    """What they proved."""
    program: str
    """Version of the program that judged."""


SeatEntry = HeaderAdded | HeaderSet | HeaderRemoved | ChainAdded | ChainRemoved | ChainMoved
"""Every kind of entry that says which headers and chains there are, and what sits where."""
SweepEntry = SweepBegun | LevelSwept | SweepTaken | SweepAborted
"""Every kind of entry of a sweep."""
HeadersEntry = SeatEntry | SweepEntry | LayoutChosen | DutyNoted | HeadersClosed
"""Every kind of entry of the fan headers."""
