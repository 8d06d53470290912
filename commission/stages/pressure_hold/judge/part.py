"""Which readings of a hold are judged and fitted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.stages.pressure_hold.judge.fit import ends_only, viscous_time

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.series import Columns, Flags, Floats
    from commission.stages.pressure_hold.model import HoldSetup


class Part(Frozen):
    """The part of a hold that is judged, with everything the fits need."""

    seen: Columns
    """All the readings."""
    setup: HoldSetup
    """The set-up."""
    begin: int
    """First bin of the judged part."""
    end: int
    """One after its last bin."""
    used: Flags
    """Which bins of the judged part are fitted, shape (end − begin,)."""
    viscous_s: Floats
    """Viscous time in the judged part, shape (end − begin,) [s]."""

    @property
    def span_s(self) -> float:
        """Length of the judged part [s]."""
        seen = self.seen
        first = seen.first_s if self.begin == 0 else float(seen.elapsed_s[self.begin])
        last = seen.last_s if self.end == seen.elapsed_s.size else float(seen.elapsed_s[self.end - 1])
        return last - first

    @property
    def viscous_span_s(self) -> float:
        """Viscous time of the judged part, to its first and last reading [s]."""
        times = self.seen.elapsed_s[self.begin : self.end]
        whole = float(times[-1] - times[0])
        return float(self.viscous_s[-1]) * (self.span_s / whole if whole > 0 else 1.0)

    def viscous_ratio(self, shift_pa: float) -> float:
        """Return by what factor the viscous time changes if the gauge was wrong by a growing amount.

        shift_pa is the error at the end [Pa]; it grows evenly from 0 at the start. An empty loop keeps 1 Pa.
        """
        judged = slice(self.begin, self.end)
        times = self.seen.elapsed_s[judged]
        ramp = (times - times[0]) / float(times[-1] - times[0])
        shifted = viscous_time(
            times, self.seen.absolute_pa[judged] + shift_pa * ramp, self.seen.barometer_pa[judged], 1.0
        )
        return float(shifted[-1]) / float(self.viscous_s[-1])

    @property
    def readings(self) -> int:
        """Gauge readings in the judged part [1]."""
        seen = self.seen
        return round(seen.readings * (self.end - self.begin) / seen.elapsed_s.size)


def select(seen: Columns, setup: HoldSetup, cut_s: float) -> Part:
    """Choose the readings that are fitted.

    Parameters
    ----------
    cut_s
        How much is left out at the start [s].

    Returns
    -------
    Part
        The judged part; it may have fewer than 2 bins.

    Notes
    -----
    Without a thermometer or barometer only both ends are fitted, for there the unseen wander does least. With few
    air readings only the gauge readings beside them are.
    """
    import numpy as np

    begin = int(np.searchsorted(seen.elapsed_s, seen.first_s + cut_s - 1e-9))
    end = seen.elapsed_s.size
    near = np.flatnonzero(seen.near_air[begin:])
    blind = not seen.air_known or (not setup.absolute and seen.barometer_readings < 2)
    beside = not blind and seen.air_sparse and near.size >= 2
    if beside and seen.elapsed_s[begin + near[-1]] - seen.elapsed_s[begin + near[0]] >= 0.8 * (
        seen.last_s - seen.elapsed_s[begin]
    ):
        begin, end = begin + int(near[0]), begin + int(near[-1]) + 1
    else:
        beside = False
    times = seen.elapsed_s[begin:end]
    used = np.ones(times.size, dtype=np.bool_)
    if blind and times.size:
        used = ends_only(times)
    elif beside:
        used = seen.near_air[begin:end]
    viscous = times
    if times.size >= 2:
        viscous = viscous_time(
            times, seen.absolute_pa[begin:end], seen.barometer_pa[begin:end], setup.gauge_step_pa / 2
        )
    return Part(seen=seen, setup=setup, begin=begin, end=end, used=used, viscous_s=viscous)
