"""The first power-on: four rungs in an order in which a mistake costs a fuse and not a machine."""

from commission.base.frozen import Frozen
from commission.base.quantity import Amount, Phrase
from commission.base.verdict import Outcome
from commission.record.machine.rungs import Rung
from commission.stages.first_power.model.cables import CableVerdict
from commission.stages.first_power.model.machine_start import MachineVerdict
from commission.stages.first_power.model.rails import PowerGoodVerdict, RailsVerdict
from commission.stages.first_power.model.wet_watch import WetVerdict


class PowerBasis(Frozen):
    """What the ladder rests on."""

    hold_passed: bool
    """Whether the pressure hold passed and still counts."""
    filled: bool
    """Whether the fill is signed off."""
    hand_made: bool
    """Whether any power cable was made or changed by hand."""
    bleed_failed: bool = False
    """Whether a bleed failed and none passed since."""
    hurt: Phrase | None = None
    """What hurt the electronics and was not repaired yet."""


class PowerFault(Frozen):
    """A cable, a voltage, a joint, level or pump in a leak watch, or a start of the machine that failed once."""

    rung: Rung
    """On which rung."""
    what: str
    """What failed, such as ``cable CPU``, ``GPU 1 +12 V``, ``joint block in`` or ``whole machine``."""
    said: str
    """What was wrong, in a sentence, with ``{0}``, ``{1}`` ... where the amounts go."""
    amounts: tuple[Amount, ...] = ()
    """The amounts of that sentence."""
    done: str = ""
    """What was done about it; empty until it was said."""


class PowerRecord(Frozen):
    """Everything that was done on the ladder so far."""

    basis: PowerBasis
    """What it rests on."""
    cables: tuple[CableVerdict, ...] = ()
    """Verdicts on hand-made cables."""
    cables_wanted: int = 0
    """How many hand-made cables there are."""
    rails: RailsVerdict | None = None
    """Voltages of the supply alone; None before."""
    power_good: PowerGoodVerdict | None = None
    """Delay of PWR_OK; None where it was not measured."""
    wet: WetVerdict | None = None
    """The wet watch; None before."""
    machine: MachineVerdict | None = None
    """The first start of the whole machine; None before."""
    faults: tuple[PowerFault, ...] = ()
    """What failed so far, mended or not."""
    same: tuple[tuple[str, str], ...] = ()
    """What showed the very readings of something else, and of what, where that was said to be right."""


class RungState(Frozen):
    """Where one rung stands."""

    rung: Rung
    """The rung."""
    outcome: Outcome | None
    """Its outcome; None before it was climbed."""
    locked: Phrase | None
    """Why it may not be climbed yet; None where it may."""


class FirstPowerVerdict(Frozen):
    """What the first power-on proves."""

    outcome: Outcome
    """Pass, fail, inconclusive or invalid."""
    rungs: tuple[RungState, ...]
    """Every rung in order."""
    reasons: tuple[Phrase, ...]
    """Why, in plain words; the one that decided first."""
