"""The first power-on: four rungs in an order in which a mistake costs a fuse and not a machine."""

from enum import StrEnum

from commission.base.frozen import Frozen
from commission.base.quantity import Amount, Phrase
from commission.base.verdict import Outcome
from commission.record.machine.noise import Noise
from commission.record.machine.rungs import Rung
from commission.stages.first_power.model.cables import CableVerdict
from commission.stages.first_power.model.rails import PowerGoodVerdict, RailsVerdict


class Paper(StrEnum):
    """What a dry paper towel showed after it was pressed to a joint."""

    DRY = "dry"
    DAMP = "damp"
    WET = "wet"


class LevelLook(StrEnum):
    """What the level in the reservoir did."""

    STEADY = "steady"
    SINKING = "sinking"
    NOT_LOOKED = "not looked"


class WetLook(Frozen):
    """One look at one joint while the pump ran."""

    joint: str
    """Which joint, in the builder's words."""
    paper: Paper
    """What the paper showed."""
    elapsed_s: float
    """Time since the pump was started [s]."""
    note: str = ""
    """What the builder added."""


class WetRule(Frozen):
    """When a wet watch is long enough."""

    watch_s: float
    """Time that the pump runs and every joint must stay dry [s]."""
    looks: int
    """Looks at each joint, the last one at the end."""


class WetWatch(Frozen):
    """The pump alone under power, everything else unplugged."""

    joints: tuple[str, ...]
    """Every joint of the loop that can be wet."""
    looks: tuple[WetLook, ...]
    """Looks in any order."""
    elapsed_s: float
    """How long the pump has run [s]."""
    moved_s: float | None = None
    """When coolant last went in or out since the pump was started [s]; None where none did."""
    level: LevelLook = LevelLook.NOT_LOOKED
    """What the level did."""
    noise: Noise = Noise.NOT_LISTENED
    """What it sounded like at the end."""
    leak_told: str = ""
    """Where the loop leaked, by what was told while the pump ran; empty where nothing was."""

    def end_s(self, rule: WetRule) -> float:
        """Return when it may end [s since the pump was started]: coolant that moved lets its time begin again."""
        return rule.watch_s + (self.moved_s or 0.0)


class WetVerdict(Frozen):
    """What a wet watch proves."""

    outcome: Outcome
    """Pass, fail, inconclusive or invalid."""
    due: tuple[str, ...]
    """Joints that still need a look."""
    next_look_s: float | None
    """When the next look is due, since the pump was started [s]; None where none is."""
    reasons: tuple[Phrase, ...]
    """Why, in plain words; the one that decided first."""


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
    """A cable, a voltage, a joint or a start of the machine that failed once."""

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

    @property
    def next_rung(self) -> Rung | None:
        """The rung that may be climbed now; None where the ladder is done or barred."""
        for state in self.rungs:
            if state.outcome is not Outcome.PASS:
                return None if state.locked else state.rung
        return None
