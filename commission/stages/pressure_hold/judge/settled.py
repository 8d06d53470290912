"""Which part of a hold is judged: after the settling, where there was one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.physics.gas import pressure_sensitivity
from commission.physics.leak import leak_drop
from commission.stages.pressure_hold.judge.part import Part, select
from commission.stages.pressure_hold.judge.settling import (
    FEWEST,
    SETTLING_BLOCKS,
    Settling,
    best_exponential,
    find_settling,
)
from commission.stages.pressure_hold.judge.variants import Variant, variants
from commission.statistics.drop_width import block_means

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.series import Columns, Floats
    from commission.stages.pressure_hold.model import HoldSetup


LEAST_SHARE = 0.3
"""Share of the hold that must be left after the settling [1]; our choice: less than a third of a hold is another
hold."""
TRACKED_K = 0.1
"""A bend that this much of temperature would make is not called settling [K]; our choice: what thermometer and gas
differ by in a still room, doubled."""
NEGLIGIBLE_SHARE = 0.02
"""Share of the limit's permitted drop that may remain of a settling [1]; our choice: a fiftieth is lost in the
bounds."""
GROSS_SHARE = 0.4
"""Settling never takes more than this share of the start gauge pressure [1]. Filling from a supply heats the gas so
that (γ − 1)/γ = 28.6 % of the gauge pressure goes again, a quick piston stroke to 1 bar 36 %. Source: energy balance;
rounded up to 40 %, our choice: a margin for other strokes."""


class Settled(Frozen):
    """The judged part with its fits, and what the settling did."""

    part: Part
    """The judged part."""
    fitted: list[Variant]
    """Its variants."""
    settling: Settling | None
    """The settling that was found."""
    cut_s: float
    """How much was left out at the start [s]."""
    over: bool
    """Whether the settling was over early enough; always true where there was none."""
    seen_at_all: bool
    """Whether there were readings enough to see a settling."""

    @property
    def tail_pa(self) -> float:
        """What was left of the settling when judging began [Pa]."""
        return self.settling.tail_pa if self.settling and self.over else 0.0


def bend_floor(part: Part, fitted: list[Variant]) -> float:
    """Return how far steps, room and weather alone may bend the pressure [Pa]."""
    seen, setup = part.seen, part.setup
    per_k = pressure_sensitivity(fitted[0].line.start_pa, setup.reference_k)
    unseen_k = TRACKED_K if seen.air_known and not seen.air_sparse else max(TRACKED_K, setup.room_swing_k)
    return max(1.5 * setup.gauge_step_pa, per_k * unseen_k) + fitted[0].parts.weather_pa


def find_mildest(part: Part, fitted: list[Variant]) -> Settling | None:
    """Return the settling that remains whatever the lag of the gas is, the mildest of them; None where none does."""
    seen, setup = part.seen, part.setup
    judged = slice(part.begin, part.end)
    floor = bend_floor(part, fitted)
    permitted = leak_drop(setup.limit_pa_m3_s, setup.volume_m3, fitted[0].line.span_s)
    negligible = max(NEGLIGIBLE_SHARE * permitted, 0.25 * setup.gauge_step_pa)
    mildest: Settling | None = None
    for one in fitted:
        found = find_settling(
            seen.elapsed_s[judged],
            part.viscous_s,
            one.compensated_pa[judged],
            floor_pa=floor,
            negligible_pa=negligible,
        )
        if found is None:
            return None
        if mildest is None or abs(found.bias_pa) < abs(mildest.bias_pa):
            mildest = found
    return mildest


def is_gross(fitted: list[Variant]) -> bool:
    """Return whether more of the pressure went than any settling takes.

    Parameters
    ----------
    fitted
        Variants of the judged part, at least one.

    Returns
    -------
    bool
        Whether the fall exceeds 40 % of the start gauge pressure in every variant.

    Notes
    -----
    Source: energy balance of filling, (γ − 1)/γ of the gauge pressure.
    """
    return min(one.line.drop_pa / max(one.line.start_gauge_pa, 1.0) for one in fitted) > GROSS_SHARE


def settle(seen: Columns, setup: HoldSetup) -> Settled:
    """Choose and fit the judged part.

    Parameters
    ----------
    setup
        The set-up; with settle_s the cut is given, otherwise it is found [SI].

    Returns
    -------
    Settled
        The part, its fits and the settling.

    Raises
    ------
    ValueError
        If fewer than two readings are left by the given cut.

    Notes
    -----
    A settling is left out until what remains of it is below 2 % of the permitted drop or a quarter of a step. If
    less than 30 % of the hold would be left, everything is kept and the settling counts as not over.
    """
    part = select(seen, setup, setup.settle_s or 0.0)
    if part.end - part.begin < 2 or int(part.used.sum()) < 2:
        raise ValueError("nothing is left after the settling time that was given")
    fitted = variants(part)
    enough = seen.readings >= FEWEST
    if setup.settle_s is not None or not enough or is_gross(fitted):
        return Settled(
            part=part, fitted=fitted, settling=None, cut_s=setup.settle_s or 0.0, over=True, seen_at_all=enough
        )
    found = find_mildest(part, fitted)
    if found is None:
        return Settled(part=part, fitted=fitted, settling=None, cut_s=0.0, over=True, seen_at_all=True)
    rest = select(seen, setup, found.cut_s)
    if found.cut_s <= (1 - LEAST_SHARE) * seen.span_s and int(rest.used.sum()) >= 2:
        return Settled(part=rest, fitted=variants(rest), settling=found, cut_s=found.cut_s, over=True, seen_at_all=True)
    permitted = leak_drop(setup.limit_pa_m3_s, setup.volume_m3, fitted[0].line.span_s)
    harmless = abs(found.bias_pa) < 0.1 * permitted
    return Settled(
        part=part,
        fitted=fitted,
        settling=None if harmless else found,
        cut_s=0.0,
        over=harmless,
        seen_at_all=True,
    )


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

    Returns
    -------
    bool
        Whether to name soft tube; a hint that changes no outcome. Never with fewer than 12 readings.

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
