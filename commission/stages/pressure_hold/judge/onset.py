"""When a hold began to fall faster, within which times, and how fast it fell from then on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.physics.leak import leak_rate
from commission.stages.pressure_hold.judge.hinge import alone, hinge, repeats
from commission.stages.pressure_hold.model import LateFall

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.hinge import Hinge, Track

CHI95 = 3.84
"""95 % quantile of chi-squared with one degree of freedom [1]. Source: any table of chi-squared."""
GRID = 60
"""A dense hold is searched at so many places [1]; our choice: a minute in an hour."""


def told(track: Track, seen: Hinge, volume_m3: float, at_least_pa_m3_s: float) -> LateFall:
    """Return when the faster fall began and how fast it was.

    Parameters
    ----------
    seen
        The fit that showed it; its base is searched.
    volume_m3
        Volume of the loop [m3].
    at_least_pa_m3_s
        Rate that the end alone proves [Pa·m3/s].

    Returns
    -------
    LateFall
        The knee with the smallest sum of squares, the knees that fit nearly as well and one place more on either
        side, and the rate of the part after it alone.

    Notes
    -----
    Knees whose sum of squares is at most SSR·(1 + 3.84·(1 + r)/(1 − r)/(n − 4)) fit nearly as well.

    Source: profile likelihood; residuals with memory are worth fewer.
    """
    best, times = track.best, track.times_s
    grid = times[2:-1].tolist()
    if track.dense:
        span = float(times[-1] - times[0])
        grid = [float(times[-1]) - span * i / GRID for i in range(GRID - 2, 0, -1)]
    fits = [hinge(track, at, seen.first) if at > times[seen.first] else None for at in grid]
    faster = {i: one for i, one in enumerate(fits) if one is not None and float(one.extra_pa[best]) > 0}
    if not faster:
        faster = {min(range(len(grid)), key=lambda i: abs(grid[i] - seen.knee_s)): seen}
    at = min(faster, key=lambda i: float(faster[i].ssr[best]))
    rest = faster[at].rest[best]
    most = float(faster[at].ssr[best]) * (1 + CHI95 * (repeats(rest) if track.dense else 1) / max(rest.size - 4, 1))
    near = [i for i, one in faster.items() if float(one.ssr[best]) <= most]
    knee = min(faster[at].knee_s, float(times[-2]))
    falls, _, _ = alone(track, knee)
    after = float(track.viscous_s[-1] - track.viscous_s[times >= knee - 1e-9][0])
    return LateFall(
        onset_s=faster[at].knee_s,
        onset_from_s=grid[min(near) - 1] if min(near) > 0 else float(times[0]),
        onset_to_s=grid[max(near) + 1] if max(near) + 1 < len(grid) else float(times[-1]),
        rate_pa_m3_s=leak_rate(volume_m3, float(falls[best]), after),
        at_least_pa_m3_s=at_least_pa_m3_s,
    )
