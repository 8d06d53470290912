"""The readings of a soak as columns, and since when load and duties are unchanged."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from commission.stages.thermal_soak.model import Named, SoakReading

LOAD_WITHIN = 0.05
"""A load that differs by less is unchanged [1]; our choice: programs that load a machine waver by a few percent."""
DUTY_WITHIN = 0.02
"""A duty that differs by less is unchanged [1]; our choice: firmware shows whole percent and rounds twice."""
SHORT_BLIP = 50
"""A change that lasts one reading in so many does not count [1]; our choice: one odd sample is not another load."""


class Columns(Frozen):
    """Readings as columns of equal length; NaN where nobody read."""

    elapsed_s: NDArray[np.float64]
    """Time [s]."""
    above_k: NDArray[np.float64]
    """Coolant above air: the mean of warm and cool side where both were read [K]."""
    air_k: NDArray[np.float64]
    """Air [K]."""
    warm_k: NDArray[np.float64]
    """Warm side [K]."""
    cool_k: NDArray[np.float64]
    """Cool side [K]."""
    flow_m3_s: NDArray[np.float64]
    """Flow [m3/s]."""
    load_w: NDArray[np.float64]
    """Load [W]."""
    components: dict[str, NDArray[np.float64]]
    """Component temperatures by name [K]."""
    duties: dict[str, NDArray[np.float64]]
    """Duties by name [1]."""


def columns_of(readings: Sequence[SoakReading]) -> Columns:
    """Return readings as columns."""
    import numpy as np

    def column(values: Sequence[float | None]) -> NDArray[np.float64]:
        return np.array(values, dtype=np.float64)  # None becomes not a number

    warm, cool = column([one.warm_k for one in readings]), column([one.cool_k for one in readings])
    air = column([one.air_k for one in readings])
    coolant = np.where(np.isnan(warm), cool, np.where(np.isnan(cool), warm, (warm + cool) / 2))
    return Columns(
        elapsed_s=column([one.elapsed_s for one in readings]),
        above_k=coolant - air,
        air_k=air,
        warm_k=warm,
        cool_k=cool,
        flow_m3_s=column([one.flow_m3_s for one in readings]),
        load_w=column([one.load_w for one in readings]),
        components=_named([one.components for one in readings]),
        duties=_named([one.duties for one in readings]),
    )


def _named(rows: Sequence[Sequence[Named]]) -> dict[str, NDArray[np.float64]]:
    import numpy as np

    found: dict[str, list[float]] = {}  # a list takes single values several times as fast as an array
    for at, row in enumerate(rows):
        for one in row:
            if one.name not in found:
                found[one.name] = [np.nan] * len(rows)
            found[one.name][at] = one.value
    return {name: np.array(values) for name, values in found.items()}


def unchanged_from(columns: Columns) -> int:
    """Return the index of the first reading since load and duties are as they are at the end.

    Returns
    -------
    int
        The index of a reading [1]; 0 where nothing changed or nobody read them.

    Notes
    -----
    How they are at the end is the median of the last quarter. A change counts where it lasts longer than one reading in
    fifty. Where the very last readings are changed ones, only the last counts: how it goes on is not known yet.

    Source: none.
    """
    import numpy as np

    n = columns.elapsed_s.size
    if n == 0:
        return 0
    odd = np.zeros(n, dtype=bool)
    for values, relative in [(columns.load_w, True), *((duty, False) for duty in columns.duties.values())]:
        known = values[-max(1, n // 4) :]
        if np.isnan(known).all():
            continue
        usual = float(np.nanmedian(known))
        within = LOAD_WITHIN * abs(usual) if relative else DUTY_WITHIN
        odd |= np.abs(values - usual) > within + 1e-9  # a comparison with NaN is false: not read, not changed
    least = max(1, n // SHORT_BLIP)
    # runs of odd readings: where a run of at least that length ends last, what counts begins
    edges = np.flatnonzero(np.diff(np.concatenate(([False], odd, [False])).astype(np.int8)))
    ends = [end for start, end in zip(edges[::2], edges[1::2], strict=True) if end - start >= least]
    return min(int(ends[-1]), n - 1) if ends else 0
