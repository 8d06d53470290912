"""A bleed: cycles of running, tilting and topping up, and what they prove about the air that is left."""

from enum import StrEnum
from typing import ClassVar

from commission.base.frozen import Frozen
from commission.base.quantity import Measured, Phrase
from commission.base.verdict import Bounded, Outcome
from commission.record.machine.noise import Noise

UPRIGHT = "upright"
"""How a case stands at work, unless somebody says otherwise."""
TILTS = (UPRIGHT, "left", "right", "forward", "back")
"""Positions with a word of their own; any other is typed after the word tilt."""


class PumpState(StrEnum):
    """What the pump did in a cycle."""

    STOPPED = "stopped"
    BURSTS = "short bursts"
    RUNNING = "running"


class Bubbles(StrEnum):
    """Bubbles seen in reservoir and tubes."""

    NONE = "none"
    FEW = "few"
    MANY = "many"
    NOT_LOOKED = "not looked"


class GoneBy(StrEnum):
    """How it was seen that air came out."""

    TOP_UP = "top-up to the mark"
    LEVEL_DROP = "level drop"


class BleedCycle(Frozen):
    """One round of bleeding: run, perhaps tilt, stop, look, top up."""

    UNITS: ClassVar[dict[str, str]] = {"pump_duty": ""}
    pump: PumpState
    """What the pump did."""
    run_s: float
    """How long [s]."""
    tilt: str
    """How the case stood, in the builder's words, such as ``upright``; another word starts a new series."""
    gone_m3: float
    """Liquid that took the place of air, at the reference temperature [m3]; negative where the level rose."""
    resolution_m3: float
    """Largest error of that reading (half-width) [m3]."""
    gone_by: GoneBy
    """How it was seen."""
    bubbles: Bubbles
    """Bubbles at the end of the cycle."""
    noise: Noise
    """Noise at the end of the cycle."""
    pump_rpm: float | None = None
    """Speed of the pump [rpm]; None where it was not read."""
    pump_duty: float | None = None
    """Speed that it was set to, as a share of full speed [1]; None where it was not set."""
    start_fall_m3: float | None = None
    """Fall of the level when the pump started that came back when it stopped [m3]; None where nobody looked."""
    inputs: tuple[Measured, ...] = ()
    """What was typed, in the order asked."""
    note: str = ""
    """What the builder added."""


class TimedCycle(Frozen):
    """A cycle with its place in the bleed."""

    seq: int
    """Number of its entry."""
    elapsed_s: float
    """When it ended, since the bleed began [s]."""
    cycle: BleedCycle
    """What was done and seen."""
    fell_m3: float = 0.0
    """What it took beyond that, by the levels that were read beside the cycles [m3]."""

    @property
    def took_m3(self) -> float:
        """What it took in all [m3]."""
        return self.cycle.gone_m3 + self.fell_m3


class BleedRule(Frozen):
    """When a loop counts as bled."""

    last_cycles: int
    """Cycles that must all keep to it, counted from the last [1]."""
    span_s: float
    """Time that they must cover [s]."""
    top_up_m3: float
    """Most that one of them may take [m3]."""


class BleedLoop(Frozen):
    """What the judge of a bleed must know of the loop, for the air that is dissolved in the coolant."""

    liquid_m3: float
    """Coolant in the loop [m3]."""
    fill_k: float
    """Temperature at which it was filled [K]."""
    hot_k: float
    """Temperature that it will reach at first [K]."""
    barometer_pa: float = 101_325.0
    """Pressure of the room [Pa]."""


class TailState(StrEnum):
    """Whether the amounts that still come out can be bounded."""

    CONVERGING = "converging"
    NOT_CONVERGING = "not converging"
    TOO_FEW = "too few"


class AirTail(Frozen):
    """Air that is still to come out if the cycles go on as they did."""

    UNITS: ClassVar[dict[str, str]] = {"ratio": ""}
    state: TailState
    """Whether anything can be said."""
    low_m3: float | None = None
    """Least that the readings allow [m3]; None where nothing can be said."""
    best_m3: float | None = None
    """Best estimate [m3]; None where nothing can be said."""
    high_m3: float | None = None
    """Most that the readings allow [m3]; None where nothing can be said."""
    ratio: float | None = None
    """Each cycle brings this share of the one before [1]; None where nothing can be said."""
    used: int = 0
    """How many readings it rests on."""


class BleedPicture(Frozen):
    """What a plot of the bleed needs, as columns of equal length."""

    number: tuple[int, ...]
    """Number of each cycle, from 1."""
    gone_m3: tuple[float, ...]
    """What took the place of air in it [m3]."""
    resolution_m3: tuple[float, ...]
    """Half-width of that reading [m3]."""
    new_series: tuple[bool, ...]
    """Whether the case was tilted before it, so that a new series begins."""
    tail_number: tuple[float, ...]
    """Numbers of the cycles of the fitted tail, going on after the last."""
    tail_m3: tuple[float, ...]
    """The fitted tail [m3]; as long as tail_number, empty where nothing was fitted."""


class BleedVerdict(Frozen):
    """What a bleed proves."""

    outcome: Outcome
    """Pass, fail, inconclusive or invalid."""
    tail: AirTail
    """Air that is still to come out."""
    came_out_m3: float
    """Air that came out in all cycles [m3]."""
    cycles: int
    """How many cycles were recorded."""
    kept: int
    """How many of the last cycles in a row keep to the rule."""
    covered_s: float
    """Time that those cover [s]."""
    rule: BleedRule
    """The rule it was judged by."""
    first_warming_m3: float | None
    """Dissolved air that may come out when the coolant first warms [m3]; None where the loop is not known."""
    reasons: tuple[Phrase, ...] = ()
    """Why, in plain words; the one that decided comes first."""
    picture: BleedPicture | None = None
    """What a plot needs; None where nothing can be drawn."""


class SqueezeCheck(Frozen):
    """A small change of pressure on a loop that is full to the neck, and how the level answered."""

    first_pa: float
    """Absolute pressure before [Pa]."""
    u_first_pa: float
    """Its standard uncertainty [Pa]."""
    second_pa: float
    """Absolute pressure after [Pa]."""
    u_second_pa: float
    """Its standard uncertainty [Pa]."""
    fall_m3: float
    """Fall of the level as a volume, negative for a rise under vacuum [m3]."""
    u_fall_m3: float
    """Its standard uncertainty [m3]."""
    compliance_m3_pa: float
    """How much the tubes widen for each pascal [m3/Pa]."""
    u_compliance_m3_pa: float
    """Its standard uncertainty [m3/Pa]."""
    liquid_m3: float
    """Coolant under pressure [m3]."""
    liquid_k: float
    """Its temperature [K]."""
    headspace_m3: float = 0.0
    """Air that is meant to be there and is squeezed too [m3]."""
    u_headspace_m3: float = 0.0
    """Its standard uncertainty [m3]."""
    waited_s: float = 0.0
    """How long the pressure had stood when the level was read [s]."""
    inputs: tuple[Measured, ...] = ()
    """What was typed, in the order asked."""


class SqueezeResult(Frozen):
    """What squeezing tells; information, never a verdict."""

    UNITS: ClassVar[dict[str, str]] = {"air": "m3"}
    air: Bounded
    """Trapped air at the pressure before, without the headspace [m3]; may be negative where the walls explain all."""
    walls_m3: float
    """Part of the fall that the tubes and the liquid explain [m3]."""
    reasons: tuple[Phrase, ...] = ()
    """What it proves, in plain words."""
