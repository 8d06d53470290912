"""The pump alone under power: what is looked at while it runs, and what that proves."""

from enum import StrEnum

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase
from commission.base.verdict import Outcome
from commission.record.machine.joints import Paper
from commission.record.machine.noise import Noise


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
