"""What a person did with power, headers and chains, as past facts."""

from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar

from commission.stages.fan_headers.model.all_chains import HeadersVerdict
from commission.stages.fan_headers.model.duties import DutyLeft
from commission.stages.fan_headers.model.layout import Layout
from commission.stages.fan_headers.model.seats import Chain, Drive, Header, StopCause
from commission.stages.fan_headers.model.sweep import Sweep, SweepReading, SweepSetup, SweepVerdict
from commission.stages.first_power.model.cables import CableTest, CableVerdict
from commission.stages.first_power.model.rails import LeftOut, PowerGoodVerdict, RailReading, RailsVerdict, Revision
from commission.stages.first_power.model.rungs import (
    FirstPowerVerdict,
    MachineStart,
    MachineVerdict,
    WetLook,
    WetVerdict,
    WetWatch,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeaderAdded:
    """A header of the board or of a hub was written down."""

    KIND: ClassVar[str] = "header added"
    header: Header
    """Its description."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeaderSet:
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


@dataclass(frozen=True, slots=True, kw_only=True)
class HeaderRemoved:
    """A header is no longer there."""

    KIND: ClassVar[str] = "header removed"
    header_id: str
    """Which header."""
    reason: str
    """Why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainAdded:
    """A chain of fans or a pump was written down."""

    KIND: ClassVar[str] = "chain added"
    chain: Chain
    """Its description."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainRemoved:
    """A chain was taken out."""

    KIND: ClassVar[str] = "chain removed"
    chain_id: str
    """Which chain."""
    reason: str
    """Why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainMoved:
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


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyDescribed:
    """The power supply and its cables were written down."""

    KIND: ClassVar[str] = "supply described"
    name: str
    """What the builder calls it."""
    revision: Revision
    """The design guide that it claims to follow."""
    hand_made: tuple[str, ...]
    """Names of the cables that were made or changed by hand; empty where there are none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CableTested:
    """A hand-made cable was measured, unplugged at both ends."""

    KIND: ClassVar[str] = "cable tested"
    attempt: int
    """Which attempt, from 1."""
    test: CableTest
    """What was measured."""
    verdict: CableVerdict
    """What it proved."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RailsRead:
    """The voltages of the supply alone were read at its plugs."""

    KIND: ClassVar[str] = "rails read"
    attempt: int
    """Which attempt, from 1."""
    readings: tuple[RailReading, ...]
    """What was read."""
    verdict: RailsVerdict
    """What it proved."""
    power_good: PowerGoodVerdict | None
    """The delay of PWR_OK; None where it was not measured."""
    left_out: tuple[LeftOut, ...] = ()
    """Plugs that are not read, and why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerFaultMended:
    """It was said what was done about a cable, a voltage, a joint or a start of the machine that had failed."""

    KIND: ClassVar[str] = "power fault mended"
    what: str
    """What had failed, such as ``cable CPU``, ``GPU 1 +12 V`` or ``whole machine``."""
    done: str
    """What was done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpStarted:
    """The pump alone was switched on, and the wet watch began."""

    KIND: ClassVar[str] = "pump started"
    attempt: int
    """Which attempt, from 1."""
    joints: tuple[str, ...]
    """Every joint that is to be looked at."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JointLooked:
    """A joint was looked at during the wet watch."""

    KIND: ClassVar[str] = "joint looked at"
    attempt: int
    """Which attempt, from 1."""
    look: WetLook
    """What was seen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WetWatchEnded:
    """The wet watch was ended and judged."""

    KIND: ClassVar[str] = "wet watch ended"
    attempt: int
    """Which attempt, from 1."""
    watch: WetWatch
    """Everything that was seen."""
    verdict: WetVerdict
    """What it proved."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineStarted:
    """The whole machine was switched on for the first time."""

    KIND: ClassVar[str] = "machine started"
    attempt: int
    """Which attempt, from 1."""
    start: MachineStart
    """What was seen."""
    verdict: MachineVerdict
    """What it proved."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstPowerClosed:
    """The first power-on was ended and judged."""

    KIND: ClassVar[str] = "first power closed"
    attempt: int
    """Which attempt, from 1."""
    verdict: FirstPowerVerdict
    """What it proved."""
    program: str
    """Version of the program that judged."""


class SweepSource(StrEnum):
    """Where the speeds of a sweep come from."""

    TYPED = "typed"
    FILE = "file"
    LIVE = "read live"


@dataclass(frozen=True, slots=True, kw_only=True)
class SweepBegun:
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


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelSwept:
    """The speeds at one duty were read during the sweep at hand."""

    KIND: ClassVar[str] = "level swept"
    readings: tuple[SweepReading, ...]
    """The readings of this level, in the order in which they were taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SweepTaken:
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


@dataclass(frozen=True, slots=True, kw_only=True)
class SweepAborted:
    """The sweep at hand was aborted: what was read stays in the record and is not judged."""

    KIND: ClassVar[str] = "sweep aborted"
    chain_id: str
    """Which chain."""
    reason: str
    """Why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutChosen:
    """A layout was taken as the one to plug."""

    KIND: ClassVar[str] = "layout chosen"
    layout: Layout
    """Which chain goes on which header."""
    why: str
    """Why, in the builder's words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyNoted:
    """The duty that a chain was left at was written down."""

    KIND: ClassVar[str] = "duty noted"
    chain_id: str
    """Which chain."""
    left: DutyLeft
    """The duty and what is known of the speed at it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadersClosed:
    """The sweeps of all chains were judged together."""

    KIND: ClassVar[str] = "headers closed"
    attempt: int
    """Which attempt, from 1."""
    verdict: HeadersVerdict
    """What they proved."""
    program: str
    """Version of the program that judged."""


PowerEntry = (
    HeaderAdded
    | HeaderSet
    | HeaderRemoved
    | ChainAdded
    | ChainRemoved
    | ChainMoved
    | SupplyDescribed
    | CableTested
    | RailsRead
    | PowerFaultMended
    | PumpStarted
    | JointLooked
    | WetWatchEnded
    | MachineStarted
    | FirstPowerClosed
    | SweepBegun
    | LevelSwept
    | SweepTaken
    | SweepAborted
    | LayoutChosen
    | DutyNoted
    | HeadersClosed
)
"""Every kind of entry of a build that speaks of power, headers or chains."""
