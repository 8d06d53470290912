"""What a person did on the rungs of the first power-on, as past facts."""

from typing import ClassVar

from commission.base.frozen import Frozen
from commission.stages.first_power.model.cables import CableTest, CableVerdict
from commission.stages.first_power.model.ladder import FirstPowerVerdict
from commission.stages.first_power.model.machine_start import MachineStart, MachineVerdict
from commission.stages.first_power.model.rails import LeftOut, PowerGoodVerdict, RailReading, RailsVerdict, Revision
from commission.stages.first_power.model.wet_watch import WetLook, WetVerdict, WetWatch


class SupplyDescribed(Frozen):
    """The power supply and its cables were written down."""

    KIND: ClassVar[str] = "supply described"
    name: str
    """What the builder calls it."""
    revision: Revision
    """The design guide that it claims to follow."""
    hand_made: tuple[str, ...]
    """Names of the cables that were made or changed by hand; empty where there are none."""


class MultimeterNamed(Frozen):
    """It was said which multimeter the cables and voltages are read with from here on."""

    KIND: ClassVar[str] = "multimeter named"
    name: str
    """What it is called, as on its label."""


class CableTested(Frozen):
    """A hand-made cable was measured, unplugged at both ends."""

    KIND: ClassVar[str] = "cable tested"
    attempt: int
    """Which attempt, from 1."""
    test: CableTest
    """What was measured."""
    verdict: CableVerdict
    """What it proved."""
    program: str = ""
    """Version of the program that judged; empty where an earlier one did not say."""
    same_as: str = ""
    """The other cable that showed the very same readings, where that was said to be right; empty where none did."""


class RailsRead(Frozen):
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
    program: str = ""
    """Version of the program that judged; empty where an earlier one did not say."""
    same_as: str = ""
    """The supply that showed the very same voltages before it was left, changed or hurt; empty where none did."""


class PowerTestAborted(Frozen):
    """The test of a cable, or the voltages, were aborted: what was measured stays in the log and no longer counts."""

    KIND: ClassVar[str] = "power test aborted"
    attempt: int
    """Which attempt, from 1."""
    cable: str
    """Name of the cable; empty where it was the voltages."""
    reason: str
    """Why."""


class PowerFaultMended(Frozen):
    """It was said what was done about a cable, a voltage, a joint or a start of the machine that had failed."""

    KIND: ClassVar[str] = "power fault mended"
    SHOWN: ClassVar[str] = "power fault repaired"
    what: str
    """What had failed, such as ``cable CPU``, ``GPU 1 +12 V`` or ``whole machine``."""
    done: str
    """What was done."""


class PumpStarted(Frozen):
    """The pump alone was switched on, and the wet watch began."""

    KIND: ClassVar[str] = "pump started"
    attempt: int
    """Which attempt, from 1."""
    joints: tuple[str, ...]
    """Every joint that is to be looked at."""


class JointLooked(Frozen):
    """A joint was looked at during the wet watch."""

    KIND: ClassVar[str] = "joint looked at"
    SHOWN: ClassVar[str] = "joint checked"
    attempt: int
    """Which attempt, from 1."""
    look: WetLook
    """What was seen."""


class WetWatchEnded(Frozen):
    """The wet watch was ended and judged."""

    KIND: ClassVar[str] = "wet watch ended"
    SHOWN: ClassVar[str] = "leak watch ended"
    attempt: int
    """Which attempt, from 1."""
    watch: WetWatch
    """Everything that was seen."""
    verdict: WetVerdict
    """What it proved."""
    program: str = ""
    """Version of the program that judged; empty where an earlier one did not say."""


class MachineStarted(Frozen):
    """The whole machine was switched on for the first time."""

    KIND: ClassVar[str] = "machine started"
    attempt: int
    """Which attempt, from 1."""
    start: MachineStart
    """What was seen."""
    verdict: MachineVerdict
    """What it proved."""
    program: str = ""
    """Version of the program that judged; empty where an earlier one did not say."""


class FirstPowerClosed(Frozen):
    """The first power-on was ended and judged."""

    KIND: ClassVar[str] = "first power closed"
    SHOWN: ClassVar[str] = "first power-on ended"
    attempt: int
    """Which attempt, from 1."""
    verdict: FirstPowerVerdict
    """What it proved."""
    program: str
    """Version of the program that judged."""


FirstPowerEntry = (
    SupplyDescribed
    | MultimeterNamed
    | CableTested
    | RailsRead
    | PowerTestAborted
    | PowerFaultMended
    | PumpStarted
    | JointLooked
    | WetWatchEnded
    | MachineStarted
    | FirstPowerClosed
)
"""Every kind of entry of the first power-on."""
