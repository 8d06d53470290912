"""The heat that the coolant carries in a soak, and coolant above air per watt."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.verdict import Bounded
from commission.physics.heat import heat_carried, u_heat_carried

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from commission.stages.thermal_soak.judge.columns import Columns
    from commission.stages.thermal_soak.model import SoakPlan, SoakRule

ONE_SIDED = 1.6449
"""What a one-sided 95 % bound has over the standard uncertainty [1]. Source: JCGM 100:2008, table G.2, infinite dof."""
U_LOAD = 0.02
"""Relative standard uncertainty of a load as a program or a meter shows it [1]; our choice: sensors of boards differ by
a few percent."""


class Balance(Frozen):
    """Load and heat, as means over the readings that count; None where nobody read them."""

    load_w: float | None
    """Electrical load [W]."""
    heat_w: float | None
    """Heat given off in the radiators [W]."""
    u_heat_w: float | None
    """Its standard uncertainty [W]."""
    swapped: bool
    """Whether the warm side reads colder than the cool side, by more than both sensors may err."""


def balance_of(columns: Columns, first: int, plan: SoakPlan, rule: SoakRule) -> Balance:
    """Return the balance over the readings from an index on; raises nothing."""
    import numpy as np

    def mean(values: NDArray[np.float64]) -> float | None:
        return None if np.isnan(values).all() else float(np.nanmean(values))

    both = ~(np.isnan(columns.warm_k) | np.isnan(columns.cool_k))
    both[:first] = False
    warm, cool = (mean(values[both]) if both.any() else None for values in (columns.warm_k, columns.cool_k))
    flow = mean(columns.flow_m3_s[first:])
    heat = u_heat = None
    swapped = warm is not None and cool is not None and warm - cool < -2 * math.sqrt(2) * rule.u_sensor_k
    if warm is not None and cool is not None and flow and warm != cool:
        try:
            heat = heat_carried(flow, warm, cool, plan.base, plan.mass_fraction)
            u_heat = u_heat_carried(heat, warm - cool, rule.u_sensor_k, rule.u_flow)
        except ValueError:
            heat = u_heat = None  # nothing published for such a coolant at this temperature
    return Balance(load_w=mean(columns.load_w[first:]), heat_w=heat, u_heat_w=u_heat, swapped=swapped)


def per_watt(end: Bounded, balance: Balance) -> Bounded | None:
    """Return coolant above air per watt [K/W], with bounds from those of the end and of the watts.

    Notes
    -----
    By the load where it was read, since a board's own figure is surer than a drop of two kelvins; else by the heat.
    None where the watts are not known to be above 0.

    Source: arithmetic of bounds.
    """
    if balance.load_w:
        watt, u = balance.load_w, U_LOAD * balance.load_w
    elif balance.heat_w is not None and balance.u_heat_w is not None:
        watt, u = balance.heat_w, balance.u_heat_w
    else:
        return None
    least, most = watt - ONE_SIDED * u, watt + ONE_SIDED * u
    if least <= 0:
        return None
    return Bounded(value=end.value / watt, lower95=end.lower95 / most, upper95=end.upper95 / least)
