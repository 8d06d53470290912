"""A closed loop that warms: the pressure in the air above the liquid, and how much of that air it needs."""

from dataclasses import dataclass

from commission.physics import glycol as mixture
from commission.physics import require, water
from commission.physics.gas import STANDARD_ATMOSPHERE_PA
from commission.physics.glycol import Glycol


class LiquidFull(ValueError):
    """The liquid fills the whole loop: the pressure is whatever the weakest part withstands, and no number is given."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """The loop at the moment it was closed, and what it will be warmed or cooled to."""

    glycol: Glycol
    """Which glycol is in the water."""
    mass_fraction: float
    """Mass fraction, 0 to 0.60 [1]."""
    closed_k: float
    """Temperature of liquid and air when it was closed, 273.15 to 373.15 [K]."""
    liquid_k: float
    """Temperature of the liquid later, 273.15 to 373.15 [K]."""
    air_k: float | None = None
    """Temperature of the air above it later [K]; None: that of the liquid, the worst case."""
    barometer_pa: float = STANDARD_ATMOSPHERE_PA
    """Pressure of the room [Pa]."""
    vessel_per_k: float = 0.0
    """Volume expansion of the walls [1/K]; 0 is the cautious value."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Warmed:
    """The closed loop at its new temperature."""

    liquid_m3: float
    """Volume of the liquid [m3]."""
    headspace_m3: float
    """Volume of the air above it [m3]."""
    absolute_pa: float
    """Absolute pressure [Pa]."""
    gauge_pa: float
    """Pressure above that of the room [Pa]."""


def pressure_when_warmed(total_m3: float, liquid_m3: float, closing: Closing) -> Warmed:
    """Return the pressure in a closed loop after its liquid has warmed or cooled.

    Parameters
    ----------
    total_m3
        Volume of the closed loop, above liquid_m3 [m3].
    liquid_m3
        Volume of the liquid when it was closed, above 0 [m3].
    closing
        How it was closed and what it comes to [SI].

    Returns
    -------
    Warmed
        Volumes and pressures [m3 and Pa].

    Raises
    ------
    LiquidFull
        If the liquid fills, or would fill, the whole loop.
    ValueError
        If a value is out of range.

    Notes
    -----
    The liquid grows into the air above it, the air warms, and its vapour joins in: p1 = p_dry·(V_h0/V_h1)·(T1/T0) +
    p_v(T1). Rigid walls, ideal gas, no air dissolving, vapour of pure water: all on the cautious side. The gas law
    alone says a fifth of the truth.

    Source: ideal gas law and conservation of mass; density and vapour as in ``glycol`` and ``water``.

    Examples
    --------
    950 mL of water in 1000 mL closed at 20 °C, then 60 °C, computed with CoolProp 8.0.0: +77.081 kPa.

    >>> c = Closing(glycol=Glycol.PROPYLENE, mass_fraction=0.0, closed_k=293.15, liquid_k=333.15)
    >>> round(pressure_when_warmed(1e-3, 950e-6, c).gauge_pa / 1e3, 2)
    77.08
    >>> pressure_when_warmed(1e-3, 990e-6, c)
    Traceback (most recent call last):
    commission.physics.headspace.LiquidFull: the liquid would need 1005.1 mL of the 1000.0 mL that the loop has
    """
    require.positive(total_m3=total_m3, liquid_m3=liquid_m3, barometer_pa=closing.barometer_pa)
    require.not_negative(vessel_per_k=closing.vessel_per_k)
    headspace = total_m3 - liquid_m3
    if headspace <= 0:
        raise LiquidFull(f"{liquid_m3 * 1e6:.1f} mL of liquid leave no air in a loop of {total_m3 * 1e6:.1f} mL")
    grown = liquid_m3 * _swelling(closing)
    room = total_m3 * (1 + closing.vessel_per_k * (closing.liquid_k - closing.closed_k))
    if room - grown <= 0:
        raise LiquidFull(f"the liquid would need {grown * 1e6:.1f} mL of the {room * 1e6:.1f} mL that the loop has")
    air_k = closing.air_k or closing.liquid_k
    dry = closing.barometer_pa - water.saturation_pressure(closing.closed_k)
    require.positive(dry_air_pa=dry)
    absolute = dry * headspace / (room - grown) * air_k / closing.closed_k + water.saturation_pressure(air_k)
    return Warmed(
        liquid_m3=grown,
        headspace_m3=room - grown,
        absolute_pa=absolute,
        gauge_pa=absolute - closing.barometer_pa,
    )


def headspace_needed(liquid_m3: float, closing: Closing, limit_gauge_pa: float) -> float:
    """Return the smallest volume of air above the liquid that keeps a closed loop within a pressure.

    Parameters
    ----------
    liquid_m3
        Volume of the liquid when the loop is closed, above 0 [m3].
    closing
        How it is closed and what it comes to; the walls count as rigid [SI].
    limit_gauge_pa
        Highest pressure above that of the room, above 0 [Pa].

    Returns
    -------
    float
        Volume of air when the loop is closed; 0 where the liquid shrinks [m3].

    Raises
    ------
    ValueError
        If a value is out of range, or no volume is enough because warm moist air alone exceeds the limit.

    Notes
    -----
    ΔV/(1 − k), k = p_dry0·T1/(T0·p_dry1): the liquid's growth over what the air may be squeezed.

    Source: as ``pressure_when_warmed``, solved for the volume.

    Examples
    --------
    950 mL of water from 20 to 60 °C within 50 kPa, computed with CoolProp 8.0.0: 100.897 mL.

    >>> c = Closing(glycol=Glycol.PROPYLENE, mass_fraction=0.0, closed_k=293.15, liquid_k=333.15)
    >>> round(headspace_needed(950e-6, c, 50e3) * 1e6, 1)
    100.9
    """
    require.positive(liquid_m3=liquid_m3, barometer_pa=closing.barometer_pa, limit_gauge_pa=limit_gauge_pa)
    air_k = closing.air_k or closing.liquid_k
    growth = liquid_m3 * (_swelling(closing) - 1)
    dry = closing.barometer_pa - water.saturation_pressure(closing.closed_k)
    require.positive(dry_air_pa=dry)
    allowed = closing.barometer_pa + limit_gauge_pa - water.saturation_pressure(air_k)
    squeezed = dry * air_k / (closing.closed_k * allowed) if allowed > 0 else 1.0
    if squeezed >= 1:
        raise ValueError(f"no headspace keeps below {limit_gauge_pa:g} Pa: warm moist air alone exceeds it")
    return max(0.0, growth / (1 - squeezed))


def _swelling(closing: Closing) -> float:
    """Return by which factor the liquid grows."""
    cold = mixture.density(closing.glycol, closing.mass_fraction, closing.closed_k)
    return cold / mixture.density(closing.glycol, closing.mass_fraction, closing.liquid_k)
