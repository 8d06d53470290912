"""A pressure hold: what is known before it, what was read, and what it proves."""

from collections.abc import Sequence
from typing import ClassVar

from commission.base.curve import Curve
from commission.base.frozen import Frozen, replace
from commission.base.quantity import Phrase
from commission.base.verdict import Outcome, PlainRule

REFERENCE_K = 293.15
"""Temperature to which leak rates and compensated pressures are referred [K] (20 °C); our choice: near the room of a
hold, and ISO 1 uses it too (from memory)."""


class HoldSetup(Frozen):
    """What the judge must know beside the readings."""

    volume_m3: float
    """Internal volume of everything that stays connected during the hold [m3]."""
    u_volume_m3: float
    """Its standard uncertainty [m3]."""
    limit_pa_m3_s: float
    """Largest leak rate that passes, of air, at the test pressure of the start [Pa·m3/s at reference_k]."""
    gauge_step_pa: float
    """One step of the gauge's display [Pa]."""
    absolute: bool = False
    """Whether the gauge reads absolute pressure (then the barometer plays no part)."""
    air_step_k: float | None = None
    """One step of the thermometer's display [K]; None where there is no thermometer."""
    barometer_step_pa: float | None = None
    """One step of the barometer's display [Pa]; None where there is no barometer."""
    gauge_gain_u: float = 0.01
    """Relative standard uncertainty of the gauge's scale [1]."""
    room_swing_k: float = 1.0
    """How far the loop's temperature may wander unseen, from lowest to highest, where no thermometer says [K]."""
    barometer_swing_pa: float | None = None
    """How far the barometer may wander unseen [Pa]; None: from the length of the hold."""
    gas_lag_s: float = 900.0
    """The longest time constant with which the gas is believed to follow the air around the loop [s]."""
    settle_s: float | None = None
    """Readings before this are left out [s]; None: found from the readings."""
    reference_k: float = REFERENCE_K
    """Temperature to which leak rate and compensated pressure are referred [K]."""
    step_stated: bool = True
    """Whether somebody stated the step of the gauge; otherwise it was guessed from the readings."""
    needle_lags: bool = False
    """Whether the gauge is a dial that is not tapped before it is read."""
    division_pa: float = 0.0
    """Distance between two marks of the dial [Pa]; 0: one step."""

    @property
    def needle_pa(self) -> float:
        """How far an untapped needle may stand off [Pa]: one division, however finely it is read; else 0."""
        return (self.division_pa or self.gauge_step_pa) if self.needle_lags else 0.0


class HoldSeries(Frozen):
    """Readings of one hold, as columns of equal length n, in order of time; NaN where a value was not read."""

    elapsed_s: Sequence[float]
    """Time since the hold began, strictly increasing [s], shape (n,)."""
    pressure_pa: Sequence[float]
    """Gauge pressure, or absolute pressure if the set-up says so [Pa], shape (n,)."""
    air_k: Sequence[float]
    """Air temperature at the loop [K], shape (n,)."""
    barometer_pa: Sequence[float]
    """Barometer at the bench, not reduced to sea level [Pa], shape (n,)."""


class HoldPicture(Frozen):
    """What a plot of the hold needs: all in compensated pressure relative to its fitted start value."""

    points: Curve
    """The compensated readings, thinned to at most some hundreds by keeping the extremes."""
    fit: Curve
    """The fitted decay of a viscous leak."""
    low: Curve
    """The decay at the upper bound of the leak rate (the lower edge of the band)."""
    high: Curve
    """The decay at the lower bound of the leak rate (the upper edge of the band)."""
    limit: Curve
    """The decay at exactly the limit."""


class LeakRate(Frozen):
    """A leak rate with its bounds: at 95 %, and at the level by which the hold was decided [Pa·m3/s]."""

    UNITS: ClassVar[dict[str, str]] = {
        "value": "pa_m3_s",
        "lower95": "pa_m3_s",
        "upper95": "pa_m3_s",
        "lower": "pa_m3_s",
        "upper": "pa_m3_s",
        "level": "",
    }
    value: float
    """Best estimate."""
    lower95: float
    """In at least 95 of 100 such tests the truth is above this."""
    upper95: float
    """In at least 95 of 100 such tests the truth is below this."""
    level: float = 0.95
    """Probability with which each of the two bounds below holds alone, at least [1]."""
    lower: float | None = None
    """Lower bound at that level; None in verdicts of older programs, where it is that of 95 %."""
    upper: float | None = None
    """Upper bound at that level; None in verdicts of older programs, where it is that of 95 %."""

    @property
    def at_least(self) -> float:
        """The lower bound by which it was decided."""
        return self.lower95 if self.lower is None else self.lower

    @property
    def at_most(self) -> float:
        """The upper bound by which it was decided."""
        return self.upper95 if self.upper is None else self.upper


class LateFall(Frozen):
    """A fall of the pressure that became faster in the middle of a hold."""

    onset_s: float
    """When it began, time since the hold began [s]."""
    onset_from_s: float
    """Earliest time at which it may have begun [s]."""
    onset_to_s: float
    """Latest time at which it may have begun [s]."""
    rate_pa_m3_s: float
    """Leak rate from then on, at the start pressure [Pa·m3/s]."""
    at_least_pa_m3_s: float
    """What that part alone proves, display, chance, room and weather allowed for; 0 or more [Pa·m3/s]."""


class HoldVerdict(Frozen):
    """What a hold proves."""

    UNITS: ClassVar[dict[str, str]] = {"smallest_detectable": "pa_m3_s"}
    outcome: Outcome
    """Pass, fail, inconclusive or invalid."""
    leak_rate: LeakRate | None
    """Leak rate of air at the test pressure of the start [Pa·m3/s at reference_k]; None where nothing can be said."""
    limit_pa_m3_s: float
    """The limit it was judged by [Pa·m3/s]."""
    reference_k: float
    """Temperature to which rate and drop are referred [K]."""
    start_gauge_pa: float | None
    """Gauge pressure at the start of the judged part [Pa]."""
    drop_pa: float | None
    """Fall of the compensated pressure over the judged part, from the fit [Pa at reference_k]."""
    duration_s: float
    """Length of the judged part [s]."""
    settling_s: float
    """How much was left out at the start [s]."""
    readings: int
    """Pressure readings in the judged part."""
    smallest_detectable: float | None
    """Smallest leak rate that this hold finds with at most 5 % risk either way [Pa·m3/s]."""
    hold_needed_s: float | None
    """Length of hold that would decide [s]; None where it is decided or no length would."""
    reasons: tuple[Phrase, ...] = ()
    """Why, in plain words; the one that decided comes first."""
    plain_rules: tuple[PlainRule, ...] = ()
    """What simpler rules would say; for comparison only."""
    picture: HoldPicture | None = None
    """What a plot needs; None where nothing can be drawn."""
    late: LateFall | None = None
    """A fall that became faster; None where none was seen or nothing was looked for."""
    blind_s: float | None = None
    """A leak of three times the limit that began within this time of the end would not be seen [s]; None where no
    late start would be, or nothing was judged."""

    def undecided(self, *why: Phrase) -> "HoldVerdict":
        """Return it as one that decides nothing, for reasons that stand before those of the readings."""
        return replace(self, outcome=Outcome.INCONCLUSIVE, reasons=(*why, *self.reasons), hold_needed_s=None)

    def telling(self, *said: Phrase) -> "HoldVerdict":
        """Return it with more to tell, right behind the reason that decided."""
        return replace(self, reasons=(*self.reasons[:1], *said, *self.reasons[1:]))


class Capability(Frozen):
    """What a set-up can decide, worked out before the hold is started."""

    smallest_detectable: float
    """Smallest leak rate found with at most 5 % risk either way in the planned time [Pa·m3/s]."""
    hold_needed_s: float | None
    """Time after which the limit itself would be detectable [s]; None where no time within two days would do."""
    pass_s: float | None
    """Time after which a loop that does not leak passes in half of such holds [s]; None as before."""
    can_decide: bool
    """Whether the planned time is enough for the limit."""
    expected_drop_pa: float
    """Fall of the compensated pressure in the planned time at exactly the limit [Pa]."""
    reasons: tuple[Phrase, ...]
    """What governs it, the largest share first, and what would help."""
