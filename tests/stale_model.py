"""A small model of which verdicts an entry takes: written for the tests alone, from what happens to the machine.

It folds by itself and knows nothing of the program's changes and faces: what has to be shown again is told here in the
trade's words, stage by stage: h hold, f fill, b bleed, p first power-on, s fan sweeps, t thermal soak, o handover.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

WET = "fbpsto"
"""All that was shown of the liquid, and on top of it."""
UNDER_POWER = "psto"
"""All that was shown with the machine under power."""
ALL = "hfbpsto"


@dataclass(frozen=True, slots=True)
class Did:
    """One thing that was done: a word, a stage or a choice, and the number of an entry for a withdrawal."""

    word: str
    what: str = ""
    target: int = 0


@dataclass
class Judged:
    """An attempt that was ended."""

    stage: str
    seq: int
    passed: bool
    stale: bool = False


@dataclass
class Model:
    """What is known of the machine, as far as verdicts rest on it."""

    judged: list[Judged] = field(default_factory=list)
    wet: bool = False
    """Whether coolant was moved since the loop was last held on air."""
    bottles: list[str] = field(default_factory=list)
    """What was poured since the loop was last empty."""
    ml: int = 0
    told_ml: int = 0
    """What is in by the amounts, as far as they were told."""
    levels: list[tuple[int, str]] = field(default_factory=list)
    """Levels that were read since the loop was last held on air, each with its place."""
    machine: bool = False
    """Whether the machine was started on the steps as they are."""

    def last(self, stage: str) -> Judged | None:
        """Return the last attempt at a stage that was ended."""
        return next((one for one in reversed(self.judged) if one.stage == stage), None)

    def take(self, stages: str, *, machine: bool = True, after: int = 0) -> None:
        """Take the worth of all attempts at some stages that ended after an entry; and of the machine's start."""
        for one in self.judged:
            one.stale = one.stale or (one.stage in stages and one.seq > after)
        self.machine = self.machine and machine

    def fault(self) -> None:
        """Find a defect of a loop whose hold had passed: that hold proved too much, and so all on top of it."""
        held = self.last("h")
        if held is not None and held.passed:
            held.stale = True
            self.take(WET, machine=False)

    def move(self, ml: int, bottle: str = "", *, filling: bool, usual: bool = False) -> None:
        """Put coolant in, or let it out where it is less than 0."""
        same = not bottle or bottle == "water" or set(self.bottles) <= {bottle}
        self.ml += ml
        self.told_ml += ml
        if bottle:
            self.bottles.append(bottle)
        elif self.ml <= 0:
            self.bottles, self.ml = [], 0
        self.wet = True
        topping_up = filling or (bool(bottle) and same)
        if topping_up and usual:
            return
        self.take("bo" if topping_up else WET)

    def read(self, seq: int, how: str) -> None:
        """Read a level: what is gone since the air was out, by the bleed or else a soak, leaked or was bubbles."""
        self.levels.append((seq, how))
        proofs = (self.last(stage) for stage in "bt")
        out = next((one.seq for one in proofs if one is not None and one.passed and not one.stale), None)
        since = [level for at, level in self.levels if out is not None and at > out]
        if self.told_ml > 0 and since and (since[0], how) == ("full", "low"):
            self.take("bto")


def stale_of(done: Sequence[Did]) -> dict[int, bool]:
    """Return of every attempt that was ended whether it is stale, by the place of its end, counted from 1."""
    gone = {one.target: seq for seq, one in enumerate(done, 1) if one.word == "withdraw"}
    model = Model()
    for seq, one in enumerate(done, 1):
        if seq not in gone:
            _do(model, seq, one)
    return {one.seq: one.stale for one in model.judged}


def _do(model: Model, seq: int, one: Did) -> None:  # noqa: C901, PLR0912 - one arm for each thing that is done
    match one.word, one.what:
        case "start hold", _ if model.wet:
            # held on air: what was in it is out
            model.take(WET, machine=False)
            model.wet, model.bottles, model.ml, model.told_ml, model.levels = False, [], 0, 0, []
        case (("end" | "fail"), stage):
            _end(model, seq, stage, passed=one.word == "end")
        case "fell", stage:
            _end(model, seq, stage, passed=False)
            model.take("bo")  # what is missing once cold left as bubbles, or leaks: bled again, and handed over again
        case ("part", _) | ("changed", "loop"):
            model.take(ALL, machine=False)
        case "changed", "supply":
            model.take(UNDER_POWER, machine=False)
        case "changed", "fans":
            model.take("sto")
        case "changed", "paste":
            model.take("to")
        case "pour", bottle:
            model.move(100, bottle, filling=False)
        case "fill with", bottle:
            model.move(100, bottle, filling=True)
        case "drain", when:
            model.move(-10, filling=when == "in the fill")
        case "visit", how:
            model.move(100, "ready" if how == "other" else "water", filling=False, usual=how == "usual")
        case "level", how:
            model.read(seq, how)
        case "defect", "hold":
            model.fault()
        case "defect", "power" if (powered := model.last("p")) is not None and powered.passed:
            model.take(UNDER_POWER, machine=False)
        case (("defect" | "repair"), "power"):
            pass  # what was done at a step is seen where that step is done again
        case "repair", "hold":
            model.fault()
        case (("leak" | "repair"), ("" | "leak")):
            model.take(ALL, machine=False)
        case "spill", _:
            model.take(WET)
        case ("burst", _) | ("repair", "burst"):
            # a dry loop lost nothing but its proof of being tight
            model.take(ALL if model.wet else "ho", machine=not model.wet)
        case ("smoke", _) | ("repair", "smoke"):
            model.take(UNDER_POWER, machine=False)
        case "power", "machine":
            model.take("p")
            model.machine = True
        case "power", _:
            model.take(UNDER_POWER, machine=False)
        case "plug", "fans":
            model.take("sto")  # the fans turn otherwise, or not at all: heat leaves another way
        case "plug", "pump":
            model.take("psto" if model.machine else "sto", machine=False)
        case "duty", "pump stands":
            model.take("psto", machine=False)
        case "duty", "lower":
            model.take("to")  # less air than was soaked with; the sweep knows that duty
        case "withdraw", _:
            model.take(ALL, after=one.target)
        case _:
            pass


def _end(model: Model, seq: int, stage: str, *, passed: bool) -> None:
    model.judged.append(Judged(stage, seq, passed))
    if stage == "f":  # another fill: what was shown on the one before does not speak of it
        model.take("bpsto", machine=False, after=0)
    if stage == "b" and not passed:
        model.take(UNDER_POWER, machine=False)
    if stage == "p":
        model.take("sto")
