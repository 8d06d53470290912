"""Volume from a bottle weighed before and after, and what the scale, the thermometer and the label leave open."""

import math

from commission.physics import glycol as mixture
from commission.physics import require
from commission.physics.glycol import HIGHEST_FRACTION, Glycol
from commission.physics.loop_volume import Uncertain
from commission.physics.require import within


def density_with_uncertainty(glycol: Glycol, mass_fraction: Uncertain, temperature_k: Uncertain) -> Uncertain:
    """Return a density with what the label and the thermometer leave open.

    Parameters
    ----------
    glycol
        Which glycol [word].
    mass_fraction
        Mass fraction, 0 to 0.60, and its standard uncertainty [1].
    temperature_k
        Temperature of the liquid, and its standard uncertainty [K].

    Returns
    -------
    Uncertain
        Density and its standard uncertainty [kg/m3].

    Raises
    ------
    ValueError
        If a value is out of range.

    Notes
    -----
    Slopes from differences over at most 0.01 of fraction and 1 K, inside the published range; independent, first
    order. The doubt of the published data itself (up to 0.9 %) is not in it.

    Source: JCGM 100:2008, 5.1.2; density as in ``glycol.density``.

    Examples
    --------
    MPG 0.30(2) at 22(2) °C, shifted by 2 K and by 0.02 in CoolProp 8.0.0: 0.956 and 1.730 kg/m3, together 1.98.

    >>> d = density_with_uncertainty(Glycol.PROPYLENE, Uncertain(0.30, 0.02), Uncertain(295.15, 2.0))
    >>> f"{d.value:.3f} {d.u:.2f}"
    '1022.855 1.98'
    """
    require.not_negative(u_mass_fraction=mass_fraction.u, u_temperature_k=temperature_k.u)
    x, t = mass_fraction.value, temperature_k.value
    value = mixture.density(glycol, x, t)
    squares = 0.0
    if mass_fraction.u > 0:
        leaner, richer = max(x - 0.005, 1e-9), min(max(x, 1e-9) + 0.005, HIGHEST_FRACTION)
        if mixture.freezing_point(glycol, leaner) > t:
            leaner = x
        rise = mixture.density(glycol, richer, t) - mixture.density(glycol, leaner, t)
        squares += (rise / (richer - leaner) * mass_fraction.u) ** 2
    if temperature_k.u > 0:
        colder, warmer = max(t - 0.5, mixture.freezing_point(glycol, x)), min(t + 0.5, 373.15)
        rise = mixture.density(glycol, x, warmer) - mixture.density(glycol, x, colder)
        squares += (rise / (warmer - colder) * temperature_k.u) ** 2
    return Uncertain(value, math.sqrt(squares))


def volume_by_weight(before_kg: Uncertain, after_kg: Uncertain, density_kg_m3: Uncertain) -> Uncertain:
    """Return the volume that was poured out of a bottle.

    Parameters
    ----------
    before_kg
        Mass of the bottle before, above that after, and its standard uncertainty [kg].
    after_kg
        Mass of the bottle after, 0 or more, and its standard uncertainty [kg].
    density_kg_m3
        Density at the temperature of the bottle, above 0, and its standard uncertainty [kg/m3].

    Returns
    -------
    Uncertain
        Volume at the temperature of the bottle, and its standard uncertainty [m3].

    Raises
    ------
    ValueError
        If the bottle did not get lighter, or a value is out of range.

    Notes
    -----
    (m1 − m2)/ρ. Grams are not millilitres: that is wrong by −0.2 % for water, +2.2 % for MPG 0.30, +6.4 % for MEG
    0.50. An error of the scale's zero drops out; the two readings are taken as independent. The air that carries 0.1 %
    of a liquid is left out: most densities are known less well.

    Source: definition of density; JCGM 100:2008, 5.1.2 for the uncertainty.

    Examples
    --------
    Hand calculation: 1184.6 − 531.2 = 653.4 g, over 1022.855 kg/m3.

    >>> v = volume_by_weight(Uncertain(1.1846, 3e-4), Uncertain(0.5312, 3e-4), Uncertain(1022.855))
    >>> f"{v.value * 1e6:.2f} {v.u * 1e6:.4f}"
    '638.80 0.4148'
    """
    require.positive(before_kg=before_kg.value, density_kg_m3=density_kg_m3.value)
    within(0.0, before_kg.value, after_kg=after_kg.value)
    require.not_negative(u_before_kg=before_kg.u, u_after_kg=after_kg.u, u_density_kg_m3=density_kg_m3.u)
    poured_kg = before_kg.value - after_kg.value
    require.positive(poured_kg=poured_kg)
    volume = poured_kg / density_kg_m3.value
    u = math.hypot(
        math.hypot(before_kg.u, after_kg.u) / density_kg_m3.value,
        volume * density_kg_m3.u / density_kg_m3.value,
    )
    return Uncertain(volume, u)
