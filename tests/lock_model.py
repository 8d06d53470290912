"""A small model of what must hold before power: written for the tests alone, from the order of the rungs.

It folds entries by itself and knows nothing of the program's locks. It asks less than the program does, never more:
what it forbids is forbidden whatever was overridden, withdrawn or typed in between.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from commission.base.pump_supply import PumpSupply
from commission.base.verdict import Outcome
from commission.record.entries import StepDone, Withdrawn
from commission.record.logged import Logged
from commission.record.mishap import Mishap, WentWrong
from commission.record.payload import Payload
from commission.stages.bleed.entries import BleedClosed, BleedCycleDone, BleedStarted
from commission.stages.build_sheet.entries import PartAdded, PartCorrected, PartRemoved
from commission.stages.fan_headers.entries import DutyNoted, HeadersClosed, LevelSwept, SweepBegun, SweepTaken
from commission.stages.fill.entries import (
    CoolantDrained,
    CoolantDrawn,
    CoolantPoured,
    CoolantSpilled,
    FillClosed,
    PumpSupplyChosen,
    WaterLost,
)
from commission.stages.first_power.entries import (
    CableTested,
    MachineStarted,
    PowerTestAborted,
    PumpStarted,
    RailsRead,
    SupplyDescribed,
    WetWatchEnded,
)
from commission.stages.pressure_hold.entries import HoldClosed, HoldStarted
from commission.stages.thermal_soak.entries import SoakClosed, SoakRead, SoakStarted

MOVES = CoolantPoured | CoolantDrained | CoolantSpilled | CoolantDrawn | WaterLost
ON_THE_MACHINE = SweepBegun | LevelSwept | SweepTaken | DutyNoted | HeadersClosed | SoakStarted | SoakRead | SoakClosed
"""What needs the whole machine under power."""


@dataclass
class Facts:
    """What was reached so far."""

    reached: set[str] = field(default_factory=set)
    """``hold``, ``fill``, and the rungs b, c and d; a is made of cables."""
    made: tuple[str, ...] | None = None
    cables: dict[str, bool] = field(default_factory=dict)
    pump: PumpSupply | None = None
    wet: bool = False
    """Whether coolant was poured or let out since the loop was last held on air."""

    air: bool = False
    """Whether a bleed failed and none passed since."""

    def has(self, *names: str) -> bool:
        """Return whether all of these were reached."""
        a = self.made is not None and all(self.cables.get(name, False) for name in self.made)
        return all(a if name == "a" else name in self.reached for name in names)

    def put(self, name: str, passed: bool, *gone: str) -> None:
        """Reach something or lose it, and lose what stood on it."""
        self.reached -= {name, *gone}
        if passed:
            self.reached.add(name)


def facts_of(entries: Iterable[Logged]) -> Facts:
    """Return what entries have reached; withdrawn ones do not count."""
    entries = list(entries)
    gone = {entry.payload.target for entry in entries if isinstance(entry.payload, Withdrawn)}
    facts = Facts()
    for entry in entries:
        if entry.seq not in gone and not _beside(entry.payload):
            _fold(facts, entry.payload)
    return facts


def _beside(payload: Payload) -> bool:
    """Return whether coolant was spilled from the bottle: it never was in the loop."""
    return isinstance(payload, CoolantSpilled) and payload.spill.bottle is not None


def _fold(facts: Facts, payload: Payload) -> None:
    match payload:
        case PartAdded() | PartCorrected() | PartRemoved():
            facts.put("hold", False, "c", "d")
        case HoldStarted():
            facts.put("hold", False)
            if facts.wet:  # held on air: what was poured is out of it
                facts.wet = False
                facts.put("fill", False, "c", "d")
        case HoldClosed(verdict=verdict):
            facts.put("hold", verdict.outcome is Outcome.PASS)
        case CoolantPoured(stage=stage) if stage != "fill":
            facts.wet = True  # a top-up in the bleed leaves the fill what it was
        case CoolantPoured() | CoolantDrained() | CoolantSpilled() | CoolantDrawn() | WaterLost():
            facts.wet = True
            facts.put("fill", False)
        case FillClosed(verdict=filled):
            facts.put("fill", filled.outcome is Outcome.PASS, "c", "d")
        case PumpSupplyChosen(supply=supply):
            facts.pump = supply
        case WentWrong(what=what, on_electronics=hurt):
            _go_wrong(facts, what, hurt)
        case _:
            _fold_power(facts, payload)


def _go_wrong(facts: Facts, what: Mishap, hurt: bool) -> None:
    if what is Mishap.LEAK:
        facts.put("hold", False, "fill", "c", "d")
    if what is Mishap.BURST:
        facts.put("hold", False)
    if what is Mishap.SMOKE or hurt:
        facts.put("b", False, "c", "d")


def _fold_power(facts: Facts, payload: Payload) -> None:
    match payload:
        case SupplyDescribed(hand_made=made):
            facts.made = made
            facts.put("b", False, "c", "d")
        case CableTested(test=test, verdict=cable):
            facts.cables[test.cable.name] = cable.outcome is Outcome.PASS
            facts.put("b", False, "c", "d")
        case RailsRead(verdict=rails):
            facts.put("b", rails.outcome is Outcome.PASS, "c", "d")
        case PowerTestAborted(cable=cable_name):
            facts.cables.pop(cable_name, None)
            facts.put("b", False, "c", "d")
        case PumpStarted():
            facts.put("c", False, "d")
        case WetWatchEnded(verdict=wet):
            facts.put("c", wet.outcome is Outcome.PASS, "d")
        case MachineStarted(verdict=machine):
            facts.put("d", machine.outcome is Outcome.PASS)
        case BleedClosed(verdict=bled) if bled.outcome is Outcome.FAIL:
            facts.air = True
            facts.reached -= {"c", "d"}
        case BleedClosed(verdict=bled) if bled.outcome is Outcome.PASS:
            facts.air = False
        case _:
            pass


def violation(before: Iterable[Logged], payload: Payload) -> str:
    """Return which rung an entry jumped; empty where it was allowed."""
    facts = facts_of(before)
    bridged = facts.pump is not PumpSupply.BRIDGED or facts.has("a", "b")
    match payload:
        case SweepBegun() | LevelSwept() | SweepTaken() | DutyNoted() | HeadersClosed():
            fine = facts.has("hold", "fill", "a", "b", "c", "d") and not facts.air
        case MachineStarted():
            fine = facts.has("hold", "fill", "a", "b", "c") and not facts.air
        case PumpStarted():
            fine = facts.has("hold", "fill", "a", "b") and not facts.air
        case RailsRead():
            fine = facts.has("a")
        case PumpSupplyChosen(supply=PumpSupply.BRIDGED):
            fine = facts.has("a", "b")
        case BleedStarted() | BleedCycleDone():
            fine = facts.pump is not None and bridged
        case StepDone(stage="fill", step="bursts"):
            fine = facts.pump is not None and bridged
        case CoolantPoured():
            fine = facts.pump is not None
        case _:
            fine = True
    return "" if fine else f"{payload.KIND} with {sorted(facts.reached)}, cables {facts.cables}, pump on {facts.pump}"
