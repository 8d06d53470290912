"""The level after cooling against the one before the load: what is missing at one temperature of the coolant."""

import math

from commission.base.verdict import Bounded
from commission.physics import glycol, water
from commission.physics.loop_volume import Uncertain
from commission.stages.thermal_soak.judge.balance import ONE_SIDED
from commission.stages.thermal_soak.model import ColdLevel, SoakPlan

U_TEMPERATURE_K = 0.5
"""Standard uncertainty of a typed temperature of the coolant [K]; our choice: what room thermometers print."""
U_CONTENT = 0.1
"""Relative standard uncertainty of the coolant in the loop [1]; our choice: amounts told, or the sum of the parts."""
WALLS_PER_K = 1.2e-4
"""What the loop's own walls widen, carried as uncertainty and not corrected [1/K]; our choice: between none and acrylic
with 2.1e-4 (from memory), as the root mean square of that range."""


def evaluate_cold_level(
    before_m3: Uncertain,
    before_k: float,
    after_m3: Uncertain,
    after_k: float,
    *,
    moved_m3: Uncertain,
    content_m3: float,
    plan: SoakPlan,
) -> ColdLevel:
    """Return what is missing between two levels.

    Parameters
    ----------
    before_m3
        Content of the reservoir before the load [m3].
    before_k
        Coolant then [K].
    after_m3
        Content after cooling [m3].
    after_k
        Coolant then [K].
    moved_m3
        What was poured less what was taken out between them [m3].
    content_m3
        Coolant in the whole loop [m3].

    Raises
    ------
    ValueError
        If the coolant would be frozen or boil.

    Notes
    -----
    All coolant of the loop widens, and the reservoir shows it: the content that is expected after is the one before,
    what was moved, and V (d(before)/d(after) - 1) with the densities d. What lacks is told at the temperature before.

    Source: conservation of mass; densities as ``physics.water`` and ``physics.glycol`` cite.
    """
    dense = _density(plan, before_k) / _density(plan, after_k)
    widened = content_m3 * (dense - 1.0)
    missing = (before_m3.value + moved_m3.value + widened - after_m3.value) / dense
    per_k = content_m3 * abs(math.log(_density(plan, after_k + 0.5) / _density(plan, after_k - 0.5)))
    u = math.hypot(
        before_m3.u,
        after_m3.u,
        moved_m3.u,
        per_k * U_TEMPERATURE_K * math.sqrt(2),
        U_CONTENT * widened,
        WALLS_PER_K * content_m3 * (after_k - before_k),
    )
    bounds = Bounded(value=missing, lower95=missing - ONE_SIDED * u, upper95=missing + ONE_SIDED * u)
    return ColdLevel(missing=bounds, before_k=before_k, after_k=after_k, moved_m3=moved_m3.value)


def _density(plan: SoakPlan, kelvin: float) -> float:
    return water.density(kelvin) if plan.base is None else glycol.density(plan.base, plan.mass_fraction, kelvin)
