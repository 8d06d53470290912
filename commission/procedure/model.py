"""The procedure as it is read from TOML: stages, their cautions, steps and limits, each with its source."""

from enum import StrEnum

from commission.base.errors import Damaged
from commission.base.frozen import Frozen
from commission.base.pump_supply import PumpSupply


class When(StrEnum):
    """When a caution must have been answered."""

    BEFORE_PRESSURE = "before pressure"
    CONNECTING = "connecting"
    """Shown while the test rig is connected, not asked."""
    PUMPING_UP = "pumping up"
    """Shown while air is pumped in, not asked."""
    UNDER_PRESSURE = "under pressure"
    """Shown until the gauge is at zero again, not asked."""
    SEARCH = "leak search"
    """Shown beside the search for a leak, not asked."""
    BEFORE_POURING = "before pouring"
    LAYING_OUT = "laying out"
    """Shown while paper, bottle and vessels are laid out, not asked."""
    POURING = "pouring"
    """Shown while coolant goes in, not asked."""
    LOOKING = "looking for damp"
    """Shown while joints and paper are looked at, not asked."""
    BEFORE_PUMP = "before the pump runs"
    BLEEDING = "bleeding"
    """Shown from the question that starts the pump to the end of the bleed, not asked."""
    SQUEEZING = "squeezing"
    """Shown while a squeeze is typed, not asked."""
    AFTER_VERDICT = "after verdict"
    BEFORE_POWER = "before power"
    MEASURING_CABLES = "measuring cables"
    """Shown while the supply is described and its cables are measured, not asked."""
    SUPPLY_ALONE = "supply alone"
    """Shown while the supply runs without a board, alone or with the pump, not asked."""
    BEFORE_MACHINE = "before the machine runs"
    FIRST_START = "first start"
    """Shown while the whole machine is started for the first time, not asked."""
    BEFORE_PLUGGING = "before plugging"
    BEFORE_SWEEP = "before the sweep"
    BEFORE_SOAK = "before the soak"
    FOR_THE_OWNER = "for the owner"
    """Told to whoever gets the machine."""
    HANDING_OVER = "handing over"
    """Told to whoever gets the machine: shown while it is handed over, not asked."""
    BEFORE_SERVICE = "before service"


class Caution(Frozen):
    """A warning that must be answered before the stage goes on."""

    id: str
    """Short name, unique within the stage."""
    text: str
    """What is read; may hold ``{energy}``, ``{rating}``, ``{pressure}`` and ``{seconds}``."""
    when: When
    """When it must have been answered."""
    source: str
    """Where it comes from."""
    pump_supply: PumpSupply | None = None
    """The arrangement for which alone it holds; left out: for both."""
    state: str = ""
    """What is typed once it is so, such as ``plug out``, in place of an empty line; left out: Enter answers it."""
    folds: bool = False
    """Whether it is asked in one line with others, where the same person read it in this build before, or in another
    on that day, and it has not changed."""


class Step(Frozen):
    """One thing to do."""

    id: str
    """Short name, unique within the stage."""
    do: str
    """The instruction."""
    good: str
    """What it looks like when it went well."""
    source: str
    """Where it comes from."""
    own_gauge: str = ""
    """What to do instead where the pump has its own gauge and no valve; empty: the same."""
    own_gauge_good: str = ""
    """What that looks like when it went well; empty: the same."""


class Limit(Frozen):
    """A number that a verdict, a default or a warning rests on."""

    id: str
    """Name with the SI unit at its end, such as ``leak_rate_pa_m3_s``."""
    value: float
    """The number [SI]."""
    low: float
    """Smallest value that makes sense [SI]."""
    high: float
    """Largest value that makes sense [SI]."""
    why: str
    """What it is for, in one line."""
    source: str
    """Where it comes from."""


class Help(Frozen):
    """What the help panel of a stage says."""

    purpose: str
    """What the stage is for."""
    good: str
    """What a good reading looks like."""
    bad: str
    """What to do when it fails."""


class Stage(Frozen):
    """One stage on the way from the last fitting to the handover."""

    id: str
    """Short name, the same as its module in each layer."""
    title: str
    """Its name on the screen."""
    proves: str
    """What a pass proves."""
    rests_on: tuple[str, ...]
    """Ids of the stages that must have passed before."""
    rule: str
    """Name of the rule that judges it."""
    help: Help
    """Its help."""
    cautions: tuple[Caution, ...]
    """Its cautions, in order."""
    steps: tuple[Step, ...]
    """Its steps, in order."""
    limits: tuple[Limit, ...]
    """Its limits."""

    def limit(self, id_: str) -> float:
        """Return the value of a limit; raises as `bounds`."""
        return self.bounds(id_).value

    def bounds(self, id_: str) -> Limit:
        """Return a limit with the bounds of what makes sense.

        Raises
        ------
        Damaged
            If the stage has no such limit: somebody changed the procedure of the build.
        """
        for limit in self.limits:
            if limit.id == id_:
                return limit
        raise Damaged(f"the procedure of this build has no limit {id_}; open a new build for it")

    def cautions_at(self, when: When, pump_supply: PumpSupply | None = None) -> tuple[Caution, ...]:
        """Return the cautions of a moment, in order: those for every arrangement, and those for the one in use."""
        return tuple(
            caution for caution in self.cautions if caution.when is when and caution.pump_supply in (None, pump_supply)
        )


class TypicalPart(Frozen):
    """What a part of some kind typically holds and withstands: offered while a part is typed, never taken silently."""

    kind: str
    """Kind of part."""
    name: str
    """What it is called."""
    volume_m3: float
    """Typical internal volume [m3]."""
    spread_m3: float
    """How far such parts differ from it (half-width) [m3]."""
    max_gauge_pa: float
    """Typical highest gauge pressure [Pa]."""
    materials: tuple[str, ...]
    """What typically touches the coolant."""
    source: str
    """Where it comes from."""


class TypicalInstrument(Frozen):
    """What an instrument of some kind typically shows: offered while one is typed, never taken silently."""

    kind: str
    """Kind of instrument."""
    name: str
    """What it is called."""
    unit: str
    """Unit on its face."""
    resolution: float
    """One step of its display [SI]."""
    accuracy: float
    """Largest error stated [SI]."""
    low: float
    """Lowest value [SI]."""
    high: float
    """Highest value [SI]."""
    source: str
    """Where it comes from."""
    face: str = ""
    """``digital`` or ``dial``; empty: it is asked."""


class Procedure(Frozen):
    """A whole procedure."""

    title: str
    """What it is called."""
    revision: int
    """Counts up with each change."""
    stages: tuple[Stage, ...]
    """Its stages, in order."""
    typical_parts: tuple[TypicalPart, ...]
    """Typical figures of parts."""
    typical_instruments: tuple[TypicalInstrument, ...]
    """Typical figures of instruments."""

    def stage(self, id_: str) -> Stage:
        """Return a stage by its id.

        Raises
        ------
        KeyError
            If there is no such stage.
        """
        for stage in self.stages:
            if stage.id == id_:
                return stage
        raise KeyError(id_)
