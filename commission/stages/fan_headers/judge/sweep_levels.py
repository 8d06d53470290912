"""From the readings of a sweep to its levels: what was visited, the median of each duty, and the noise."""

from __future__ import annotations

import math
from itertools import groupby, pairwise
from statistics import median
from typing import TYPE_CHECKING

from commission.base.board_range import MOST_SWEEP_RPM
from commission.base.frozen import Frozen
from commission.physics.detection import resolution_uncertainty
from commission.stages.fan_headers.model.sweep import FULL_PCT, Direction

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from commission.stages.fan_headers.model.sweep import Sweep

MEDIAN_FACTOR = math.sqrt(math.pi / 2)
"""Standard error of a median over that of a mean, normal noise [1]; 1.2533. Source: asymptotic variance of a median,
textbook (from memory)."""
FEWEST_DOF = 3
"""Repeats over all levels, less the levels, below which the noise is hardly known [1]; our choice: below three a
spread is known to no better than half of itself."""


class Visit(Frozen):
    """Readings that were taken one after the other at one duty."""

    duty_pct: float
    """The duty [%]."""
    direction: Direction
    """On which way."""
    rpm: tuple[float, ...]
    """Readings that succeeded [rpm]."""
    failed: int
    """Readings that failed."""

    @property
    def median(self) -> float | None:
        """Median speed [rpm]; None where every reading failed."""
        return median(self.rpm) if self.rpm else None

    @property
    def squares(self) -> float:
        """Sum of squares about the mean [rpm²]."""
        if len(self.rpm) < 2:
            return 0.0
        mean = math.fsum(self.rpm) / len(self.rpm)
        return math.fsum((rpm - mean) ** 2 for rpm in self.rpm)


class Level(Frozen):
    """All readings of one duty that count."""

    duty_pct: float
    """The duty [%]."""
    visits: tuple[Visit, ...]
    """Its visits; where it ran on one way only, those of the way down."""

    @property
    def rpm(self) -> tuple[float, ...]:
        """Every reading [rpm]."""
        return tuple(rpm for visit in self.visits for rpm in visit.rpm)

    @property
    def median(self) -> float:
        """Median speed [rpm]."""
        return median(self.rpm)

    @property
    def dof(self) -> int:
        """Repeats that tell of the noise: within its visits, or between them where each is a single reading."""
        within = sum(len(visit.rpm) - 1 for visit in self.visits)
        return within or len(self.visits) - 1

    @property
    def squares(self) -> float:
        """Sum of squares that belongs to those repeats [rpm²]."""
        if any(len(visit.rpm) > 1 for visit in self.visits):
            return math.fsum(visit.squares for visit in self.visits)
        return Visit(duty_pct=self.duty_pct, direction=Direction.NOT_SAID, rpm=self.rpm, failed=0).squares


class Noise(Frozen):
    """How far one reading scatters."""

    sigma_rpm: float
    """Standard deviation of one reading [rpm]."""
    repeated: bool
    """Whether it was measured, and not only taken from the step of the display."""


def refuse_sweep(sweep: Sweep) -> None:
    """Refuse readings that no fan can give, as the readers of files and typed lines do with the number of the line.

    Raises
    ------
    ValueError
        If a duty is outside 0 to 100 or a speed outside 0 to 60000; the message names it.

    Examples
    --------
    >>> from commission.stages.fan_headers.model.sweep import Sweep, SweepReading
    >>> refuse_sweep(Sweep(readings=(SweepReading(duty_pct=120.0, rpm=1500.0),)))
    Traceback (most recent call last):
    ValueError: a duty of 120 % is outside 0 to 100
    """
    for reading in sweep.readings:
        if not 0 <= reading.duty_pct <= FULL_PCT:
            raise ValueError(f"a duty of {reading.duty_pct:g} % is outside 0 to 100")
        if reading.rpm is not None and not 0 <= reading.rpm <= MOST_SWEEP_RPM:
            raise ValueError(f"a speed of {reading.rpm:g} rpm is outside 0 to {MOST_SWEEP_RPM:.0f}")


def visits_of(sweep: Sweep) -> tuple[Visit, ...]:
    """Group the readings of a sweep by the duty they were taken at, in order.

    Where no reading names its way and the duties fall once and then rise, the way is taken from their order. In any
    other order it stays unsaid: such a table may have been sorted.

    Examples
    --------
    >>> from commission.stages.fan_headers.model.sweep import Sweep, SweepReading
    >>> rows = [(100, 1500), (60, 900), (60, 905), (100, 1498)]
    >>> sweep = Sweep(readings=tuple(SweepReading(duty_pct=d, rpm=n) for d, n in rows))
    >>> [(visit.duty_pct, str(visit.direction), visit.median) for visit in visits_of(sweep)]
    [(100, 'down', 1500), (60, 'down', 902.5), (100, 'up', 1498)]
    """
    groups = [
        ([*group], duty, way)
        for (duty, way), group in groupby(sweep.readings, key=lambda reading: (reading.duty_pct, reading.direction))
    ]
    ways = _ways([duty for _, duty, _ in groups], [way for _, _, way in groups])
    return tuple(
        Visit(
            duty_pct=duty,
            direction=way,
            rpm=tuple(reading.rpm for reading in group if reading.rpm is not None),
            failed=sum(reading.rpm is None for reading in group),
        )
        for (group, duty, _), way in zip(groups, ways, strict=True)
    )


def _ways(duties: Sequence[float], said: Sequence[Direction]) -> Sequence[Direction]:
    """Tell the way of each visit from the order of duties, where none was said and they fall once and rise once."""
    back = min(range(len(duties)), key=lambda i: (duties[i], i), default=0)
    falls = all(late < early for early, late in pairwise(duties[: back + 1]))
    rises = all(late > early for early, late in pairwise(duties[back:]))
    if any(way is not Direction.NOT_SAID for way in said) or not (0 < back < len(duties) - 1 and falls and rises):
        return said
    return [Direction.DOWN if i <= back else Direction.UP for i in range(len(duties))]


def levels_of(visits: Iterable[Visit]) -> tuple[Level, ...]:
    """Bring the visits of each duty together: levels with at least one reading, by rising duty.

    Where a duty was visited on both ways and it stood still on one of them only, the way down counts: between stop
    and start a mean of both would be a speed that was never there.

    Examples
    --------
    >>> from commission.stages.fan_headers.model.sweep import Direction
    >>> down = Visit(duty_pct=30, direction=Direction.DOWN, rpm=(548.0,), failed=0)
    >>> up = Visit(duty_pct=30, direction=Direction.UP, rpm=(0.0,), failed=0)
    >>> [level.median for level in levels_of([down, up])]
    [548.0]
    """
    by_duty: dict[float, list[Visit]] = {}
    for visit in visits:
        if visit.rpm:
            by_duty.setdefault(visit.duty_pct, []).append(visit)
    return tuple(Level(duty_pct=duty, visits=_counting(by_duty[duty])) for duty in sorted(by_duty))


def _counting(visits: Sequence[Visit]) -> tuple[Visit, ...]:
    stood = [visit.median == 0 for visit in visits]
    if any(stood) and not all(stood):
        down = [visit for visit in visits if visit.direction is not Direction.UP]
        return tuple(down or visits)
    return tuple(visits)


def noise_of(levels: Iterable[Level], step_rpm: float) -> Noise:
    """Return how far one reading scatters; the step of the display is 0 or more [rpm], else ValueError.

    With four readings a level or more: the square root of the median variance of the running levels, so that one
    restless level does not govern. With fewer (a typed sweep: one reading each way) the variances are pooled and
    raised to their upper 95 % bound, since few pairs may agree by luck. Never below step/√12.

    Examples
    --------
    Hand calculation: −6, 3, 0, 5, −4 have the variance 21.3.

    >>> from commission.stages.fan_headers.model.sweep import Direction
    >>> rpm = tuple(1000.0 + d for d in (-6, 3, 0, 5, -4))
    >>> level = Level(duty_pct=60, visits=(Visit(duty_pct=60, direction=Direction.DOWN, rpm=rpm, failed=0),))
    >>> round(noise_of([level], 1.0).sigma_rpm, 3)
    4.615
    """
    if step_rpm < 0:
        raise ValueError("the step of the display must be 0 or more")
    least = resolution_uncertainty(step_rpm)
    running = [level for level in levels if level.median > 0]
    told = [level for level in running if level.dof > 0]
    dof = sum(level.dof for level in told)
    if dof < FEWEST_DOF:
        return Noise(sigma_rpm=least, repeated=False)
    if median(level.dof for level in running) >= FEWEST_DOF:
        variance = median(level.squares / level.dof for level in told)
    else:
        variance = math.fsum(level.squares for level in told) / dof * _upper(dof)
    return Noise(sigma_rpm=max(math.sqrt(variance), least), repeated=True)


def _upper(dof: int) -> float:
    """Return the factor from a variance to its upper one-sided 95 % bound (Wilson and Hilferty 1931, from memory)."""
    share = 2 / (9 * dof)
    return (1 - share - 1.6448536 * math.sqrt(share)) ** -3


def alike_within(levels: Sequence[Level], full_rpm: float, noise: Noise) -> float:
    """Return how far two levels must lie apart to differ [rpm].

    The larger of 2 % of full speed and three standard errors of a median, by the level with the fewest readings. Our
    own choice.

    Examples
    --------
    Hand calculation: 2 % of 1497.

    >>> round(alike_within([], 1497.0, Noise(sigma_rpm=4.6, repeated=True)), 2)
    29.94
    """
    return max(0.02 * full_rpm, 3 * standard_error(levels, noise))


def standard_error(levels: Sequence[Level], noise: Noise) -> float:
    """Return the standard error of a level's median [rpm].

    1.2533·σ/√k with the fewest readings of a running level; σ itself where each level was read once. Large-sample
    figure for normal noise.

    Examples
    --------
    >>> round(standard_error([], Noise(sigma_rpm=10.0, repeated=True)), 2)
    12.53
    """
    fewest = min((len(level.rpm) for level in levels if level.median > 0), default=1)
    return MEDIAN_FACTOR * noise.sigma_rpm / math.sqrt(fewest)
