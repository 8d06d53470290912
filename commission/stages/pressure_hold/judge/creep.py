"""Whether a fall looks like creep of soft tube, which halves each time the time doubles, as a leak does not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.physics.gas import pressure_sensitivity
from commission.stages.pressure_hold.judge.settling import FEWEST, SETTLING_BLOCKS, best_exponential
from commission.statistics.drop_width import block_means

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.series import Floats
    from commission.stages.pressure_hold.judge.settled import Settled

STARTS_S = (10.0, 30.0, 100.0, 300.0, 1000.0)
"""Times from which on the logarithm is tried [s]; our choice: half a decade apart, from the first reading to
a quarter of an hour."""
BEND_STEPS = 2.0
"""The first half must fall by so many steps more than the second [1]; our choice: rounding makes one."""
STEADY_K, BLIND_K, BLIND_PA = 0.3, 1.0, 150.0
"""Or by what the air may do, and more where no instrument saw it [K, K, Pa]; our choice: a room with and without
a thermometer, and the weather of an hour."""
LEAST_F = 12.0
"""How much better than a straight line the logarithm must fit [1]; our choice: chance reaches 12 in 0.5 % of holds."""
AS_GOOD = 1.15
"""It may fit so much worse than the best settling beside a leak, which has two parameters more [1]; our choice: as good
within what scatter explains."""


def _log_fit(since: Floats, values: Floats, start_s: float) -> tuple[float, float]:
    """Return k and the sum of squares of a − k·ln(1 + t/t0)."""
    import numpy as np

    shape = np.log1p(since / start_s)
    off, centred = shape - shape.mean(), values - values.mean()
    k = -float(off @ centred) / float(off @ off)
    rest = centred + k * off
    return k, float(rest @ rest)


def looks_like_creep(settled: Settled) -> bool:
    """Return whether the fall over the whole hold has the shape of creep.

    Parameters
    ----------
    settled
        The judged part with its fits.

    Returns
    -------
    bool
        Whether to name soft tube; a hint that changes no outcome. Never with fewer than 12 readings.

    Raises
    ------
    IndexError
        If there is no variant.

    Notes
    -----
    a − k·ln(1 + t/t0) is compared with a straight line and with a settling beside a leak.

    Source: logarithmic creep of polymers under constant load, in any textbook; thresholds are our choice.
    """
    import numpy as np

    part, setup, first = settled.part, settled.part.setup, settled.fitted[0]
    seen = part.seen
    if seen.elapsed_s.size < FEWEST:
        return False
    blocks = min(seen.elapsed_s.size, SETTLING_BLOCKS)
    since = block_means(seen.elapsed_s - seen.first_s, blocks)
    values = block_means(first.compensated_pa, blocks)
    half = float(np.interp((since[0] + since[-1]) / 2, since, values))
    more = (float(values[0]) - half) - (half - float(values[-1]))
    per_k = pressure_sensitivity(first.line.start_pa, setup.reference_k)
    blind = not seen.air_known or (not setup.absolute and seen.barometer_readings < 2)
    least = BLIND_K * per_k + BLIND_PA if blind else STEADY_K * per_k
    if more <= max(BEND_STEPS * setup.gauge_step_pa, least):
        return False
    k, ssr = min((_log_fit(since, values, start) for start in STARTS_S), key=lambda fit: fit[1])
    straight, bent = best_exponential(seen.elapsed_s, seen.elapsed_s - seen.first_s, first.compensated_pa)
    # rounding alone leaves this much, so that a perfect fit does not decide by its last digits
    rounding = blocks * setup.gauge_step_pa**2 / 12
    f = (straight - ssr) / (max(ssr, 1e-9) / (blocks - 3))
    return k > 0 and f > LEAST_F and ssr <= AS_GOOD * max(bent, rounding)
