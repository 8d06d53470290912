"""A sweep: the speed of a chain at one duty after the other, and what that proves about its header."""

from enum import StrEnum
from typing import ClassVar

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase
from commission.base.verdict import Outcome
from commission.record.machine.seats import Drive, Feed

FULL_PCT = 100.0
"""Full duty [%]. Source: by definition of the duty."""


class Direction(StrEnum):
    """On which way of the sweep a level was read."""

    DOWN = "down"
    UP = "up"
    NOT_SAID = "not said"


class Rotation(StrEnum):
    """What the person saw of the blades while the tach showed nothing."""

    SEEN = "turning"
    NOT_SEEN = "not turning"
    NOT_ASKED = "not asked"


class SweepReading(Frozen):
    """One reading of the speed at one duty."""

    duty_pct: float
    """The duty that was set, 0 to 100 [%]."""
    rpm: float | None
    """What the tach said [rpm]; None where it could not be read."""
    direction: Direction = Direction.NOT_SAID
    """On which way it was read."""


class Sweep(Frozen):
    """The readings of one sweep."""

    readings: tuple[SweepReading, ...]
    """In the order in which they were taken."""
    rotation: Rotation = Rotation.NOT_ASKED
    """What was seen where the tach showed nothing."""
    fault: bool = False
    """Whether the chip itself said that the channel is not to be trusted."""


class SweepSetup(Frozen):
    """What the judge must know beside the readings."""

    step_rpm: float = 1.0
    """One step of the display or counter [rpm]."""
    nameplate_rpm: float | None = None
    """Highest speed that the maker of the reporting fan states [rpm]; None where not known."""
    wires: int | None = None
    """Wires of the fans' leads, 3 or 4; None where not recorded."""
    mode: Drive | None = None
    """How the header is set; None where not recorded."""
    feed: Feed = Feed.HEADER
    """Where the motor current comes from."""
    fans: int = 1
    """How many devices share the plug."""
    pump: bool = False
    """Whether it is a pump."""
    control_wanted: bool = True
    """Whether the duty is meant to change the speed; False for a pump that is locked at full speed."""


class SweepWord(StrEnum):
    """What a sweep shows."""

    CONTROLLED = "controlled"
    WEAK = "weak control"
    IGNORES = "ignores control"
    INVERTED = "inverted"
    ERRATIC = "erratic tach"
    NO_TACH = "no tach"
    NOT_TURNING = "not turning"
    NO_READING = "no reading"
    INCONCLUSIVE = "inconclusive"
    INSUFFICIENT = "insufficient"
    SENSOR_ERROR = "sensor error"


class Trend(Frozen):
    """The order of the levels, and how probable such an order is by chance."""

    UNITS: ClassVar[dict[str, str]] = {"p_up": "", "p_down": ""}
    levels: int
    """How many duties were read."""
    concordant: int
    """Pairs of levels where more duty gave more speed."""
    discordant: int
    """Pairs where more duty gave less speed."""
    p_up: float
    """Probability of at least as rising an order by chance [1]."""
    p_down: float
    """Probability of at least as falling an order by chance [1]."""
    ranks: tuple[int, ...]
    """Rank of each level by duty; levels closer than the noise share one."""
    slope_rpm_per_pct: float
    """Median slope between pairs of levels [rpm/%]."""

    @property
    def s(self) -> int:
        """Rising pairs less falling pairs."""
        return self.concordant - self.discordant

    @property
    def gamma(self) -> float:
        """Share of rising over falling pairs, −1 to 1; 0 where all levels are alike [1]."""
        told = self.concordant + self.discordant
        return self.s / told if told else 0.0


class Stops(Frozen):
    """Where a chain stops and starts; each None where that was not seen."""

    stop_pct: float | None = None
    """Highest duty at which it stood still on the way down [%]."""
    runs_pct: float | None = None
    """The next duty above, at which it still ran: the limit lies between the two [%]."""
    start_pct: float | None = None
    """Lowest duty from which it turned on the way up after a standstill [%]."""
    starts_later: bool = False
    """Whether it needs more duty to start than to keep running."""
    minimum_pct: float | None = None
    """Smallest duty advised [%]."""


class SweepPicture(Frozen):
    """What a plot of speed over duty needs, as columns of equal length in the order of the sweep."""

    duty_pct: tuple[float, ...]
    """Duty of each level visited [%]."""
    rpm: tuple[float, ...]
    """Median speed there [rpm]."""
    direction: tuple[Direction, ...]
    """On which way."""


class SweepVerdict(Frozen):
    """What a sweep proves."""

    UNITS: ClassVar[dict[str, str]] = {"trend_p": "", "span": "", "effect": "", "curve_points": "pct"}
    outcome: Outcome
    """Pass, fail, inconclusive or invalid."""
    word: SweepWord
    """What it shows."""
    full_rpm: float | None
    """Median speed at full duty [rpm]; None where it was not read."""
    trend_p: float | None
    """Probability of such an order by chance, one-sided [1]; None where no order can be judged."""
    span: float | None
    """Highest less lowest running speed, over the highest [1]; None where nothing ran."""
    effect: float | None
    """Speed at full duty less speed at the lowest running duty, over the highest [1]; None where nothing ran."""
    trend: Trend | None
    """The order of the levels; None where there is none."""
    noise_rpm: float | None
    """Standard deviation of one reading [rpm]; None where nothing ran."""
    read_twice: bool
    """Whether the noise was measured by repeated readings, and not only taken from the step of the display."""
    alike_rpm: float | None
    """Levels closer than this share a rank [rpm]; None where nothing ran."""
    stops: Stops = Stops()
    """Where it stops and starts."""
    hysteresis_rpm: float | None = None
    """Largest difference of way down and way up [rpm]; None without both."""
    repeat_rpm: float | None = None
    """Difference of the speeds at full duty at the end and at the start [rpm]; None without both."""
    agree_rpm: float | None = None
    """Such differences are fine up to this [rpm]; None where nothing ran."""
    curve_points: float | None = None
    """How far the curve is from the straight one of the specification [%]; None where that does not apply."""
    reasons: tuple[Phrase, ...] = ()
    """Why, in plain words; the one that decided comes first."""
    findings: tuple[Phrase, ...] = ()
    """What else was seen."""
    causes: tuple[Phrase, ...] = ()
    """Every cause that would explain it, and what to do; none of them is proven."""
    picture: SweepPicture | None = None
    """What a plot needs; None where nothing can be drawn."""

    @property
    def said(self) -> str:
        """The word, with the stall where there is one."""
        if self.word is SweepWord.CONTROLLED and self.stops.stop_pct is not None and self.stops.runs_pct is not None:
            return f"{self.word}, stalls below {self.stops.runs_pct:g} %"
        return str(self.word)
