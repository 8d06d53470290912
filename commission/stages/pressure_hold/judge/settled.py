"""Which part of a hold is judged: after the settling, where there was one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.physics.gas import pressure_sensitivity
from commission.physics.leak import leak_drop
from commission.stages.pressure_hold.judge.part import Part, select
from commission.stages.pressure_hold.judge.settling import FEWEST, Settling, find_settling
from commission.stages.pressure_hold.judge.variants import Variant, variants

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.series import Columns
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

    Raises
    ------
    ValueError
        If there is no variant.

    Notes
    -----
    Source: energy balance of filling, (γ − 1)/γ of the gauge pressure.
    """
    return min(one.line.drop_pa / max(one.line.start_gauge_pa, 1.0) for one in fitted) > GROSS_SHARE


def settle(seen: Columns, setup: HoldSetup) -> Settled:
    """Choose and fit the judged part.

    Parameters
    ----------
    seen
        The readings [SI].
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
