"""Two straight lines that meet at a knee, fitted to the compensated pressure of a hold, for all gas paths at once."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.stages.pressure_hold.judge.allowance import DENSE, FEW, LEAST_SD, MOST_BLOCKS, STEP_SD
from commission.stages.pressure_hold.judge.fit import viscous_time
from commission.statistics.correlation import corrected_lag1
from commission.statistics.drop_width import block_means

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.part import Part
    from commission.stages.pressure_hold.judge.series import Floats
    from commission.stages.pressure_hold.judge.variants import Variant

SHARES = (0.02, 0.03, 0.045, 0.065, 0.1, 0.14, 0.2, 0.28, 0.4, 0.55, 0.7)
"""Where a dense hold may have its knee: time before the end over the length [1]; our choice: each 1.4
times the one before, from one reading in fifty on."""
BASE = 5.0
"""A knee is also looked for on so many times its own length alone [1]; our choice: what the start did would
hide it."""
HIGHEST_LAG1 = 0.9
"""Highest correlation of neighbours that is believed [1]; our choice: more cannot be told from a bend."""


class Track(Frozen):
    """The judged part of a hold, to its last reading, at most 120 points."""

    times_s: Floats
    """Times, shape (m,) [s]."""
    viscous_s: Floats
    """Viscous time at them, shape (m,) [s]."""
    paths_pa: Floats
    """Compensated pressure, one row a gas path, shape (p, m) [Pa]."""
    best: int
    """Row of the path that fits best [1]."""
    readings: int
    """Readings that it was made of [1]."""
    step_pa: float
    """One step of the gauge [Pa]."""

    @property
    def dense(self) -> bool:
        """Whether the scatter can be had from the readings themselves."""
        return self.readings >= DENSE

    def viscous_at(self, time_s: float) -> float:
        """Return the viscous time at a time [s]."""
        import numpy as np

        return float(np.interp(time_s, self.times_s, self.viscous_s))


class Hinge(Frozen):
    """y = a − b·u − d·(u − u_knee)+, by least squares."""

    knee_s: float
    """Where the lines meet [s]."""
    first: int
    """First point that was fitted [1]."""
    w_s: float
    """Viscous time from there to the end [s]."""
    before: Floats
    """Slope b before the knee, positive for a fall, shape (p,) [Pa/s]."""
    extra_pa: Floats
    """Extra fall d·w since the knee, shape (p,) [Pa]."""
    ssr: Floats
    """Sum of squares about it, shape (p,) [Pa²]."""
    rest: Floats
    """What is left, shape (p, m − first) [Pa]."""
    power: float
    """Squared norm of the hinge after level and slope are taken out [s²]."""


def track_of(part: Part, fitted: list[Variant], best: Variant) -> Track:
    """Return the judged part to the last reading, averaged where it is long.

    Parameters
    ----------
    best
        The one that fits best, one of them.

    Returns
    -------
    Track
        The points of all paths.

    Raises
    ------
    ValueError
        If `best` is not among them.
    """
    import numpy as np

    seen = part.seen
    times, viscous = seen.elapsed_s[part.begin :], part.viscous_s
    if viscous.size < times.size:  # the air was not read to the end, but the gauge was
        outside = seen.barometer_pa[part.begin :]
        viscous = viscous_time(times, seen.absolute_pa[part.begin :], outside, part.setup.gauge_step_pa / 2)
    rows = [one.compensated_pa[part.begin :] for one in fitted]
    if times.size > MOST_BLOCKS:
        times, viscous, *rows = (block_means(row, MOST_BLOCKS) for row in (times, viscous, *rows))
    return Track(
        times_s=times,
        viscous_s=viscous,
        paths_pa=np.array(rows),
        best=next(i for i, one in enumerate(fitted) if one is best),
        readings=round(seen.readings * (seen.elapsed_s.size - part.begin) / seen.elapsed_s.size),
        step_pa=part.setup.gauge_step_pa,
    )


def hinge(track: Track, knee_s: float, first: int = 0) -> Hinge | None:
    """Fit two lines that meet at a knee.

    Parameters
    ----------
    knee_s
        Where they meet [s].
    first
        First point that is fitted [1].

    Returns
    -------
    Hinge or None
        The fit; None where the points cannot tell two lines from one.
    """
    import numpy as np

    u, y = track.viscous_s[first:], track.paths_pa[:, first:]
    knee = track.viscous_at(knee_s)
    kink = np.maximum(u - knee, 0.0)
    off, kink = u - u.mean(), kink - kink.mean()
    sxx = float(off @ off)
    lean = float(off @ kink) / sxx
    bend = kink - lean * off
    power = float(bend @ bend)
    if power <= 1e-12 * sxx:
        return None
    centred = y - y.mean(axis=1, keepdims=True)
    slope, more = centred @ off / sxx, -(centred @ bend) / power
    rest = centred - np.outer(slope, off) + np.outer(more, bend)
    w = float(u[-1]) - knee
    return Hinge(
        knee_s=knee_s,
        first=first,
        w_s=w,
        before=-slope - lean * more,
        extra_pa=more * w,
        ssr=np.einsum("ij,ij->i", rest, rest),
        rest=rest,
        power=power,
    )


def knees(track: Track) -> list[Hinge]:
    """Return the fits to all knees, each on the whole and on the last five times its length.

    Parameters
    ----------
    track
        The points, at least 4.
    """
    import numpy as np

    times = track.times_s
    span = float(times[-1] - times[0])
    at = [float(times[-1]) - share * span for share in SHARES] if track.dense else times[2:-1].tolist()
    least = 6 if track.dense else 3
    found = []
    for knee_s in at:
        short = int(np.searchsorted(times, times[-1] - BASE * (times[-1] - knee_s) - 1e-9))
        for first in sorted({0, short}):
            if int(np.searchsorted(times, knee_s + 1e-9)) - first >= least:
                found.append(hinge(track, knee_s, first))
    return [one for one in found if one is not None]


def scatter_pa(track: Track, rest: Floats, parameters: int) -> float:
    """Return the standard deviation of one point, widened where neighbours resemble each other.

    Parameters
    ----------
    rest
        Residuals of the fit, shape (m,) [Pa].
    parameters
        Parameters that were fitted [1].

    Returns
    -------
    float
        Standard deviation [Pa]: with fewer than 8 readings a third of a step, with fewer than 40 at least that.
    """
    stated = STEP_SD * track.step_pa
    if track.readings < FEW:
        return stated
    sd = math.sqrt(float(rest @ rest) / max(rest.size - parameters, 1))
    if not track.dense:
        return max(sd, stated)
    return max(sd * math.sqrt(repeats(rest)), LEAST_SD * track.step_pa)


def repeats(rest: Floats) -> float:
    """Return how many neighbours in residuals tell no more than one.

    Parameters
    ----------
    rest
        Residuals in order of time, shape (m,) [any].

    Returns
    -------
    float
        (1 + r)/(1 − r) with the corrected lag-1 correlation, 1 to 19 [1].
    """
    square = float(rest @ rest)
    r = float(rest[:-1] @ rest[1:]) / square if square > 0 else 0.0
    r = min(corrected_lag1(max(-1.0, min(1.0, r)), rest.size), HIGHEST_LAG1)
    return (1 + r) / (1 - r)


def alone(track: Track, knee_s: float) -> tuple[Floats, Floats, float]:
    """Fit one line to what follows a knee.

    Parameters
    ----------
    knee_s
        The knee; at least 2 points lie from it on [s].

    Returns
    -------
    tuple
        Fall of the line to the end, shape (p,) [Pa]; residuals, one row a path [Pa]; and standard error of the fall
        over that of one point [1].
    """
    import numpy as np

    after = track.times_s >= knee_s - 1e-9
    u, y = track.viscous_s[after], track.paths_pa[:, after]
    off, centred = u - u.mean(), y - y.mean(axis=1, keepdims=True)
    sxx = float(off @ off)
    slope = centred @ off / sxx
    w = float(u[-1] - u[0])
    return -slope * w, centred - np.outer(slope, off), w / math.sqrt(sxx)
