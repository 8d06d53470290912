"""The word for a sweep: what was seen as figures, and the first row of the table that fits them."""

from __future__ import annotations

import math
from statistics import median
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.text import counted
from commission.record.machine.seats import FAST_PLATE
from commission.stages.fan_headers.judge.sweep_levels import alike_within, levels_of, noise_of, visits_of
from commission.stages.fan_headers.judge.sweep_trend import trend_of
from commission.stages.fan_headers.model.sweep import FULL_PCT, Rotation, SweepWord

if TYPE_CHECKING:
    from commission.stages.fan_headers.judge.sweep_levels import Level, Noise, Visit
    from commission.stages.fan_headers.model.sweep import Sweep, SweepSetup, Trend

FEWEST_LEVELS = 5
"""Fewest levels of a sweep [1]. Source: counting: by chance four are in perfect order once in 24, five once in 120,
below 0.01."""
LEAST_RANGE_PCT = 50.0
"""From lowest to highest duty [%]; our choice: half the range, so that a flat end is not the whole story."""
FEWEST_READS = 3
"""With fewer readings a level an unclear order asks for more of them [1]; our choice: the least with a median that
stands one bad reading."""
MOST_FAILED = 0.20
"""Share of failed reads above which nothing is judged [1]; our choice: one read in five may be lost to a busy bus."""
ERRATIC_CV = 0.05
"""Relative scatter at full duty above which a tach is not to be trusted [1]; our choice: several times what the
rounding of a tach makes."""
CLEAR_GAMMA = 0.8
"""Share of pairs in order that counts as a trend [1]; our choice: nine pairs in ten the right way round."""
CLEAR_P = 0.01
"""Odds by chance below which an order counts as proven [1]; our choice: a wrong word in a hundred is rarer than a
wrong plug."""
WEAK_P = 0.05
"""Odds by chance below which an order counts as likely [1]; our choice: the level at which a trend is usually called
one."""
CLEAR_EFFECT = 0.20
"""Change of speed over the sweep that counts as control [1]; our choice: a fifth of the speed is heard, and far above
the scatter."""
FLAT_SPAN = 0.10
"""Change of speed below which the duty is ignored [1]; our choice: a tenth is what the 4-wire specification lets a
speed be off."""
FLAT_RANKS = 3
"""Most ranks that a flat sweep may have [1]; our choice: with more ranks something moved."""


class Seen(Frozen):
    """A sweep as figures."""

    visits: tuple[Visit, ...]
    """Its visits in order."""
    levels: tuple[Level, ...]
    """Its levels by rising duty."""
    full_rpm: float | None
    """Median speed at full duty [rpm]; None where it was not read."""
    top_rpm: float
    """Highest median [rpm]; 0 where nothing turned or nothing was read."""
    noise: Noise
    """Scatter of one reading."""
    alike_rpm: float
    """Levels closer than this share a rank [rpm]."""
    trend: Trend | None
    """The order of the levels; None where there is no level."""
    effect: float | None
    """Speed at full duty less speed at the lowest running duty, over the highest [1]."""
    span: float | None
    """Highest less lowest running median, over the speed at full duty [1]."""
    full_cv: float | None
    """Relative scatter at full duty [1]; None where too few readings tell."""
    failed: float
    """Share of reads that failed [1]."""

    @property
    def stands(self) -> bool:
        """Whether some level read 0."""
        return any(level.median == 0 for level in self.levels)

    @property
    def running(self) -> tuple[Level, ...]:
        """Levels that turned, by rising duty."""
        return tuple(level for level in self.levels if level.median > 0)

    @property
    def lost(self) -> bool:
        """Whether the sensor vanished: the last visit gave nothing while an earlier one did."""
        return bool(self.visits) and not self.visits[-1].rpm and any(visit.rpm for visit in self.visits)


def seen_of(sweep: Sweep, setup: SweepSetup) -> Seen:
    """Return a sweep as figures; raises ValueError where the step of the display is negative.

    Medians throughout; a level that was read on both ways counts once with all its readings.

    Examples
    --------
    >>> from commission.stages.fan_headers.model.sweep import Sweep, SweepReading, SweepSetup
    >>> rows = [(100, 1500), (80, 1200), (60, 900), (50, 750), (40, 600), (30, 450)]
    >>> seen = seen_of(Sweep(readings=tuple(SweepReading(duty_pct=d, rpm=n) for d, n in rows)), SweepSetup())
    >>> seen.full_rpm, seen.effect, seen.span
    (1500, 0.7, 0.7)
    """
    visits = visits_of(sweep)
    levels = levels_of(visits)
    noise = noise_of(levels, setup.step_rpm)
    full = next((level for level in levels if level.duty_pct == FULL_PCT), None)
    full_rpm = None if full is None else full.median
    medians = [level.median for level in levels]
    top = max(medians, default=0.0)
    running = [rpm for rpm in medians if rpm > 0]
    alike = alike_within(levels, full_rpm or top, noise)
    trend = trend_of([level.duty_pct for level in levels], medians, alike) if levels else None
    return Seen(
        visits=visits,
        levels=levels,
        full_rpm=full_rpm,
        top_rpm=top,
        noise=noise,
        alike_rpm=alike,
        trend=trend,
        effect=(full_rpm - running[0]) / top if full_rpm and running else None,
        span=(max(running) - min(running)) / top if full_rpm and running else None,
        full_cv=None if full is None else cv_of(full),
        failed=sum(reading.rpm is None for reading in sweep.readings) / max(1, len(sweep.readings)),
    )


def cv_of(level: Level) -> float | None:
    """Return the standard deviation within the visits of a level over their mean [1].

    None with fewer than three readings, or at 0. A difference between visits is no scatter: it is asked for as
    repeatability.

    Examples
    --------
    >>> from commission.stages.fan_headers.model.sweep import Direction
    >>> from commission.stages.fan_headers.judge.sweep_levels import Level, Visit
    >>> rpm = (1680.0, 2410.0, 2100.0, 2605.0, 1820.0)
    >>> level = Level(duty_pct=100, visits=(Visit(duty_pct=100, direction=Direction.DOWN, rpm=rpm, failed=0),))
    >>> round(cv_of(level), 3)
    0.183
    """
    dof = sum(len(visit.rpm) - 1 for visit in level.visits)
    mean = math.fsum(level.rpm) / len(level.rpm)
    if dof < 2 or mean == 0:
        return None
    return math.sqrt(math.fsum(visit.squares for visit in level.visits) / dof) / mean


def lacking(seen: Seen) -> tuple[str, ...]:
    """Return what a sweep lacks before anything can be judged, each as half a sentence.

    Five levels, full duty among them, 50 points of duty from lowest to highest.

    Examples
    --------
    >>> from commission.stages.fan_headers.model.sweep import Sweep, SweepReading, SweepSetup
    >>> rows = [(100, 1500), (80, 1200), (60, 900), (50, 750)]
    >>> lacking(seen_of(Sweep(readings=tuple(SweepReading(duty_pct=d, rpm=n) for d, n in rows)), SweepSetup()))
    ('1 more level between 30 % and 100 %',)
    """
    duties = {visit.duty_pct for visit in seen.visits}
    lacks = []
    if FULL_PCT not in duties:
        lacks.append("a level at 100 %, with which the others are compared")
    missing = FEWEST_LEVELS - len(duties) - bool(lacks)
    if missing > 0:
        lacks.append(f"{counted(missing, 'more level')} between 30 % and 100 %")
    if duties and max(duties) - min(duties) < LEAST_RANGE_PCT:
        lacks.append("lower duties: from lowest to highest at least 50 points")
    return tuple(lacks)


def word_of(seen: Seen, sweep: Sweep, setup: SweepSetup) -> SweepWord:
    """Return the word for a sweep, the first that fits.

    A trend is only called control where it is large: a curve from 1480 to 1496 rpm can be in perfect order. That the
    duty is ignored is only claimed from a small measured span, never from a missing trend. Where the order is not
    clear and the levels were read once or twice, the word is insufficient.

    Examples
    --------
    >>> from commission.stages.fan_headers.model.sweep import Sweep, SweepReading, SweepSetup
    >>> rows = [(100, 1496), (80, 1492), (60, 1488), (50, 1486), (40, 1484), (30, 1480)]
    >>> sweep = Sweep(readings=tuple(SweepReading(duty_pct=d, rpm=n) for d, n in rows))
    >>> word_of(seen_of(sweep, SweepSetup()), sweep, SweepSetup())
    <SweepWord.IGNORES: 'ignores control'>
    """
    if seen.lost:
        return SweepWord.SENSOR_ERROR
    if lacking(seen):
        return SweepWord.INSUFFICIENT
    if seen.failed > MOST_FAILED or sweep.fault:
        return SweepWord.SENSOR_ERROR
    if len(seen.levels) < FEWEST_LEVELS or seen.full_rpm is None or seen.trend is None:
        return SweepWord.INSUFFICIENT
    if seen.top_rpm == 0:
        return _silent(sweep.rotation)
    if seen.full_rpm == 0:
        return SweepWord.INCONCLUSIVE
    if erratic(seen, setup):
        return SweepWord.ERRATIC
    return _or_insufficient(_by_order(seen, seen.trend), seen)


def _or_insufficient(word: SweepWord, seen: Seen) -> SweepWord:
    """Ask for more readings where a typed sweep leaves the word in doubt and so few are the likely cause."""
    few = median(len(level.rpm) for level in seen.levels) < FEWEST_READS
    unsure = word is SweepWord.INCONCLUSIVE and few
    unknown = word is SweepWord.WEAK and not seen.noise.repeated
    return SweepWord.INSUFFICIENT if unsure or unknown else word


def _silent(rotation: Rotation) -> SweepWord:
    match rotation:
        case Rotation.SEEN:
            return SweepWord.NO_TACH
        case Rotation.NOT_SEEN:
            return SweepWord.NOT_TURNING
        case Rotation.NOT_ASKED:
            return SweepWord.NO_READING


def erratic(seen: Seen, setup: SweepSetup) -> bool:
    """Tell whether the tach scatters by more than 5 % at full duty or shows more than 1.2 times the nameplate.

    A clean reading never proves a single tach: two at half pulses can show a steady mean.

    Examples
    --------
    >>> from commission.stages.fan_headers.model.sweep import Sweep, SweepReading, SweepSetup
    >>> sweep = Sweep(readings=(SweepReading(duty_pct=100, rpm=3000),))
    >>> erratic(seen_of(sweep, SweepSetup()), SweepSetup(nameplate_rpm=1500))
    True
    """
    scatters = seen.full_cv is not None and seen.full_cv > ERRATIC_CV
    full, plate = seen.full_rpm, setup.nameplate_rpm
    return scatters or (full is not None and plate is not None and full > FAST_PLATE * plate)


def _by_order(seen: Seen, trend: Trend) -> SweepWord:
    effect = seen.effect or 0.0
    if trend.gamma >= CLEAR_GAMMA and trend.p_up < CLEAR_P and effect >= CLEAR_EFFECT:
        return SweepWord.CONTROLLED
    if trend.gamma <= -CLEAR_GAMMA and trend.p_down < CLEAR_P and effect <= -CLEAR_EFFECT:
        return SweepWord.INVERTED
    narrow = seen.span is not None and seen.span < FLAT_SPAN and abs(effect) < FLAT_SPAN
    if narrow and not seen.stands and max(trend.ranks) < FLAT_RANKS:
        return SweepWord.IGNORES
    if trend.gamma >= CLEAR_GAMMA and trend.p_up < WEAK_P:
        return SweepWord.WEAK
    return SweepWord.INCONCLUSIVE
