"""Whether the machine made heat, the coolant could carry it, and its duties are those that it is left at."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.quantity import K95
from commission.physics.heat import heat_carried
from commission.stages.thermal_soak.judge import reasons
from commission.stages.thermal_soak.judge.columns import DUTY_WITHIN
from commission.stages.thermal_soak.judge.part_limits import is_chip
from commission.stages.thermal_soak.judge.steady import LEAST_READINGS
from commission.statistics.regression import fit_line

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from commission.base.quantity import Phrase
    from commission.stages.thermal_soak.judge.columns import Columns
    from commission.stages.thermal_soak.model import Named, SoakPlan, SoakRule

STILL_READ_S = 300.0
"""A component is read to the end where it was read so short before it [s]; our choice: whoever types by turns gets
round in half of the shortest window."""
SHOWN_SHARE = 0.5
"""Share of the load that it must be able to carry where its two sides read the same [1]; our choice: half and more of a
machine's load goes into the coolant."""
ROOM_CLIMBS_K_S = 6.0 / 3600
"""Air that climbs faster is no room [K/s]; our choice: a small closed room gains some 3 K in the first hour of a loaded
machine, an intake that breathes the exhaust gains them in minutes."""
SURELY = 2.0
"""Standard uncertainties that a heat may be off [1]; our choice: one in twenty, as each bound in this program."""


def stands(columns: Columns, first: int) -> Phrase | None:
    """Return that nothing moves the coolant, by the flow or by the duty of a pump; None where nothing says so."""
    import numpy as np

    flow = columns.flow_m3_s[first:]
    if not np.isnan(flow).all() and float(np.nanmedian(flow)) <= 0:
        return reasons.FLOW_STANDS
    off = next((name for name in columns.duties if "pump" in name.casefold() and _at(columns, name, first) == 0), None)
    return None if off is None else reasons.pump_off(off)


def not_heated(
    columns: Columns, first: int, load_w: float | None, plan: SoakPlan, rule: SoakRule, left: Sequence[Named]
) -> Phrase | None:
    """Return why these readings are no soak of the machine as it is left; None where they are one.

    Parameters
    ----------
    first
        Index from which they count [1].
    load_w
        Mean load [W]; None where nobody read it.
    left
        Duties that chains were left at, by their names [1].

    Notes
    -----
    Coolant that is hardly above air shows no heat: two sensors leave as much. What the flow can carry at most, both
    sensors and the meter off by two standard uncertainties, and coolant never colder than air, must be a fair share of
    the load, and half of it where both sides read the same. No chip is colder than the coolant that cools it. Duties
    at 0, or above those that the chains are left at, are another machine. Load, flow and components that were read once
    are read to the end. Air that climbs on at the intake is the machine's own breath: then nothing settles.

    Source: our choice; heat balance as ``physics.heat`` cites.
    """
    import numpy as np

    above = columns.above_k[first:]
    reached = float(np.median(above[-max(1, above.size // 4) :]))
    if reached < rule.least_above_air_k:
        return reasons.no_heat(reached, rule.least_above_air_k)
    most = _carried_most_w(columns, first, plan, rule)
    if load_w and most is not None and most < rule.least_carried * load_w:
        return reasons.carries_little(most, load_w)
    return (
        _no_rise(columns, first, load_w, most, plan)
        or _colder(columns, first, rule)
        or _duties(columns, first, left)
        or _unread(columns, first, rule)
        or _flow_dropped(columns, first, rule)
        or _air_climbs(columns, first)
    )


def _no_rise(columns: Columns, first: int, load_w: float | None, most_w: float | None, plan: SoakPlan) -> Phrase | None:
    """Return that both sides read the same at a flow at which the load would show between them."""
    warm, cool = _mean(columns.warm_k[first:]), _mean(columns.cool_k[first:])
    if not load_w or most_w is None or warm is None or cool is None or warm - cool >= plan.resolution_k:
        return None
    return reasons.no_rise(most_w, load_w) if most_w < SHOWN_SHARE * load_w else None


def colder_parts(columns: Columns, first: int, rule: SoakRule) -> list[str]:
    """Return the components that read colder than the cool side, by more than both sensors may err."""
    cool, found = _mean(columns.cool_k[first:]), []
    for name, column in columns.components.items():
        value = _mean(column[first:])
        cold = _mean(columns.air_k[first:]) if cool is None else cool
        if value is not None and cold is not None and value < cold - SURELY * math.sqrt(2) * rule.u_sensor_k:
            found.append(name)
    return found


def _colder(columns: Columns, first: int, rule: SoakRule) -> Phrase | None:
    """Return that a chip reads colder than what cools it; another part may stand in air, and is only told."""
    chip = next((name for name in colder_parts(columns, first, rule) if is_chip(name)), None)
    return None if chip is None else reasons.colder_than_coolant(chip)


def _carried_most_w(columns: Columns, first: int, plan: SoakPlan, rule: SoakRule) -> float | None:
    """Return the most heat that the flow can carry away [W]; None where nobody read what tells it."""
    warm, cool, flow = (_mean(each[first:]) for each in (columns.warm_k, columns.cool_k, columns.flow_m3_s))
    if warm is None or not flow:
        return None
    air = _mean(columns.air_k[first:])
    cold = air if cool is None else cool
    assert cold is not None  # each reading has its air
    drop = max(0.0, warm - cold) + SURELY * math.sqrt(2) * rule.u_sensor_k
    try:
        return heat_carried(flow * (1 + SURELY * rule.u_flow), warm, warm - drop, plan.base, plan.mass_fraction)
    except ValueError:
        return None  # nothing published for such a coolant at this temperature


def _duties(columns: Columns, first: int, left: Sequence[Named]) -> Phrase | None:
    kept = {one.name.casefold(): one.value for one in left}
    for name in columns.duties:
        read, stays = _at(columns, name, first), kept.get(name.casefold())
        if read is None:
            continue
        if read == 0 and stays != 0:
            return reasons.duty_off(name)
        if stays is not None and read > stays + DUTY_WITHIN:
            return reasons.more_than_left(name, read, stays)
    return None


def _unread(columns: Columns, first: int, rule: SoakRule) -> Phrase | None:
    """Return what was not read to the end, or at the end alone: who sees it change might leave it out."""
    import numpy as np

    times = columns.elapsed_s
    since = min(float(times[-1]) - STILL_READ_S, float(times[-min(2, times.size)]))
    for name, column in {"load": columns.load_w, "flow": columns.flow_m3_s, **columns.components}.items():
        read = times[first:][~np.isnan(column[first:])]
        if read.size and float(read[-1]) < since:
            return reasons.not_read_since(name, float(times[-1] - read[-1]))
        if read.size and name == "load" and float(read[0]) > float(times[-1]) - rule.least_window_s:
            return reasons.read_late(name, float(times[-1] - read[0]))
    return None


def _flow_dropped(columns: Columns, first: int, rule: SoakRule) -> Phrase | None:
    """Return that the last flow lies below all before, by more than a fall that is told: a fall, or a slip."""
    import numpy as np

    flow = columns.flow_m3_s[first:]
    flow = flow[~np.isnan(flow)]
    if flow.size < 3:
        return None
    last, usual = float(flow[-1]), float(np.median(flow[:-1]))
    dropped = last < (1 - rule.flow_fall) * usual and last < float(flow[:-1].min())
    return reasons.flow_dropped(last, usual) if dropped else None


def _air_climbs(columns: Columns, first: int) -> Phrase | None:
    """Return that the air at the intake surely climbs faster than a room does."""
    t, air = columns.elapsed_s[first:], columns.air_k[first:]
    if t.size < LEAST_READINGS:
        return None
    line = fit_line(t, air)
    climb = line.slope - K95 * line.s_slope
    return reasons.air_climbs(climb) if climb > ROOM_CLIMBS_K_S else None


def _at(columns: Columns, name: str, first: int) -> float | None:
    """Return the duty of a chain at the end [1]; None where it was not read."""
    import numpy as np

    known = columns.duties[name][first:]
    known = known[-max(1, known.size // 4) :]
    return None if np.isnan(known).all() else float(np.nanmedian(known))


def _mean(values: NDArray[np.float64]) -> float | None:
    import numpy as np

    return None if np.isnan(values).all() else float(np.nanmean(values))
