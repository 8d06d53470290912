"""A thermal soak: readings under a steady load, and where they settle."""

from collections.abc import Mapping
from enum import StrEnum
from typing import ClassVar

from commission.base.frozen import Frozen, field
from commission.base.quantity import Phrase
from commission.base.verdict import Bounded, Outcome
from commission.physics.glycol import Glycol
from commission.record.machine.joints import Paper

MOST_READINGS = 5000
"""Most readings of a soak in the log [1]; our choice: four hours at one in 3 s, and what is read again stays quick."""


class Named(Frozen):
    """A figure of a component or of a chain of fans, by its name."""

    name: str
    """Such as ``cpu`` or ``front fans``."""
    value: float
    """Temperature of a component [K], or duty of a chain as a share of full [1]."""


class SoakReading(Frozen):
    """What was read at one time; None where nobody read it."""

    UNITS: ClassVar[dict[str, str]] = {"components": "k", "duties": ""}
    elapsed_s: float
    """Time since the soak began [s]."""
    air_k: float
    """Air at the intake [K]."""
    warm_k: float | None = None
    """Coolant on its way to the radiators [K]."""
    cool_k: float | None = None
    """Coolant on its way from them [K]."""
    flow_m3_s: float | None = None
    """Flow [m3/s]."""
    load_w: float | None = None
    """Electrical power of what the loop cools [W]."""
    components: tuple[Named, ...] = ()
    """Temperatures of components by their own sensors."""
    duties: tuple[Named, ...] = ()
    """Duties of the chains."""
    typed: str = ""
    """The line as it was typed; empty where it came from a file."""


class SoakPlan(Frozen):
    """What must be known before a soak."""

    UNITS: ClassVar[dict[str, str]] = {"mass_fraction": ""}
    base: Glycol | None = None
    """The glycol in the coolant; None: water."""
    mass_fraction: float = 0.0
    """Its share by mass [1]."""
    resolution_k: float = 0.1
    """One step of the coldest display [K]."""


class SoakRule(Frozen):
    """When a soak passes."""

    UNITS: ClassVar[dict[str, str]] = {"window_time_constants": "", "u_flow": "", "flow_fall": "", "least_carried": ""}
    coolant_most_k: float
    """Warmest coolant in the warmest room [K]."""
    above_air_k: float
    """Most that coolant may settle above air [K]."""
    component_most_k: float
    """Warmest component in the warmest room [K]."""
    warmest_air_k: float
    """The warmest room [K]."""
    slope_k_s: float
    """Steady: at most this slope [K/s]."""
    least_window_s: float
    """Over at least this time [s]."""
    window_time_constants: float
    """And at least so many time constants [1]."""
    flat_s: float
    """How long where no time constant shows [s]."""
    u_sensor_k: float
    """Standard uncertainty of a coolant or air sensor [K]."""
    u_flow: float
    """Relative one of the flow [1]."""
    flow_fall: float
    """Fall of the flow that is told [1]."""
    least_above_air_k: float
    """Coolant less above air than this shows no heat [K]."""
    least_carried: float
    """Least share of the load that the flow must be able to carry [1]."""


class PartLimit(Frozen):
    """The warmest that a component may get in the warmest room."""

    name: str
    """The component."""
    most_k: float
    """That temperature, by its own sensor [K]."""
    source: str = ""
    """Where that stands, such as a data sheet; empty: the procedure's limit of any component."""


class HotLook(Frozen):
    """What dry paper showed at a joint while the machine soaked."""

    joint: str
    """Which joint."""
    paper: Paper
    """What the paper showed."""
    elapsed_s: float
    """Time since the soak began [s]."""


class Limits(Frozen):
    """How warm components may get, beside the limit of any of them."""

    own: tuple[PartLimit, ...] = ()
    """Those that were typed."""
    usual: Mapping[str, float] = field(default_factory=dict)
    """Those of the procedure for what a component is, by their ids [K]; an older one has none."""


class HotWatch(Frozen):
    """What is known of the joints while hot."""

    done: bool = False
    """Whether one act said that all are dry, as where no joint is named."""
    joints: tuple[str, ...] = ()
    """Every joint that can be wet; each wants a look while hot."""
    looks: tuple[HotLook, ...] = ()
    """What paper showed at them."""


class SteadyWord(StrEnum):
    """Whether coolant above air stands still."""

    STEADY = "steady"
    NOT_STEADY = "not steady"
    CANNOT_TELL = "cannot tell"


class Steady(Frozen):
    """Whether it stands still, and what that rests on."""

    word: SteadyWord
    """Whether it does."""
    slope_k_s: float
    """Slope at the end [K/s]."""
    u_slope_k_s: float
    """Its standard uncertainty [K/s]."""
    window_s: float
    """Time that it was judged over [s]."""
    needed_s: float
    """Time that the rule asks [s]."""


class SettledPart(Frozen):
    """Where a component settles in the warmest room."""

    UNITS: ClassVar[dict[str, str]] = {"end": "k"}
    name: str
    """The component."""
    end: Bounded
    """Its temperature there [K]."""


class ColdLevel(Frozen):
    """What is missing in the reservoir after cooling, at the coolant's temperature before the load."""

    UNITS: ClassVar[dict[str, str]] = {"missing": "m3"}
    missing: Bounded
    """Missing coolant; below 0 where there is more than before [m3]."""
    before_k: float
    """Coolant at the level before the load [K]."""
    after_k: float
    """Coolant at the level after [K]."""
    moved_m3: float
    """What was poured less what was taken out between them [m3]."""


class SoakPicture(Frozen):
    """What a plot needs, as columns of equal length; at most a few hundred points."""

    elapsed_s: tuple[float, ...]
    """Time [s]."""
    above_k: tuple[float, ...]
    """Coolant above air [K]."""
    counts_from_s: float
    """From when on the readings count: the load is unchanged since [s]."""
    fit_s: tuple[float, ...]
    """Times of the fitted approach [s]; empty where there is none."""
    fit_k: tuple[float, ...]
    """The approach [K]."""


class SoakVerdict(Frozen):
    """What a soak proves."""

    UNITS: ClassVar[dict[str, str]] = {"end": "k", "k_per_w": ""}
    outcome: Outcome
    """Pass, fail, inconclusive or invalid."""
    rule: SoakRule
    """The rule it was judged by."""
    readings: int
    """How many readings there are [1]."""
    span_s: float
    """Time from the first to the last [s]."""
    counts_s: float
    """Time since load and duties are unchanged [s]."""
    steady: Steady | None = None
    """Whether it stands still; None where nothing can be said."""
    end: Bounded | None = None
    """Where coolant settles above air [K]; None where the readings do not bound it."""
    least_end_k: float | None = None
    """It settles no lower than this above air [K]; None where not even that is known."""
    time_constant_s: float | None = None
    """Time constant of the approach [s]; None where none shows."""
    load_w: float | None = None
    """Electrical power in that time [W]."""
    heat_w: float | None = None
    """Heat that the coolant gives off in the radiators [W]."""
    u_heat_w: float | None = None
    """Its standard uncertainty [W]."""
    k_per_w: Bounded | None = None
    """Coolant above air per watt of load, or of heat where the load was not read [K/W]."""
    components: tuple[SettledPart, ...] = ()
    """Where components settle."""
    limits: tuple[PartLimit, ...] = ()
    """By which limit each component was judged."""
    level: ColdLevel | None = None
    """The level after cooling against the one before; None where the two were not read."""
    reasons: tuple[Phrase, ...] = ()
    """Why, in plain words; the one that decided comes first."""
    picture: SoakPicture | None = None
    """What a plot needs; None where nothing can be drawn."""

    @property
    def lacks_coolant(self) -> bool:
        """Whether coolant is missing after cooling, beyond what a level can tell."""
        return self.level is not None and self.level.missing.lower95 > 0
