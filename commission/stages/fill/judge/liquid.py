"""What a label says, turned into density and expansion with an uncertainty, or into a clear refusal."""

from __future__ import annotations

import math
from functools import cache

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.base.quantity import Quantity
from commission.physics import glycol as mixture
from commission.physics.gas import ICE_POINT_K
from commission.physics.glycol import HIGHEST_FRACTION, Glycol
from commission.physics.glycol_fraction import mass_from_volume_fraction, pure_density
from commission.physics.loop_volume import Uncertain
from commission.physics.water import HIGHEST_K
from commission.physics.weighing import density_with_uncertainty
from commission.stages.fill.model.coolant import GLYCOLS, Base, Basis, Bottle, CoolantState, check_bottle
from commission.units.show import show

GLYCOL_DENSITY_U = 0.005
"""Relative standard uncertainty of a mixture's density without a data sheet [1]. Two published sets, for pure and for
inhibited fluids, differ by up to 0.9 %. Source: tables of pure (Melinder 2010) and of inhibited fluids (ASHRAE
Handbook Fundamentals 2001) compared."""
WATER_DENSITY_U = 5e-4
"""Relative standard uncertainty of the density of water from a tap or a can [1]; our choice: covers tap water's salts
and 2 K of an unread temperature."""
VOLUME_BASIS_U = 0.01
"""Standard uncertainty of turning a share by volume into one by mass [1]; our choice: a point, since shares before
and after mixing differ by as much, and labels do not say which they mean."""
UNKNOWN_EXPANSION_PER_K = Uncertain(4.5e-4, 1.5e-4)
"""Expansion of a coolant that nobody knows [1/K], from water to half propylene glycol, 20 to 60 °C. Source: Melinder
2010; the half-width is our choice: it reaches both ends."""
GLYCOL_OF = {Base.PROPYLENE_GLYCOL: Glycol.PROPYLENE, Base.ETHYLENE_GLYCOL: Glycol.ETHYLENE}
"""The glycol of a base."""


class Liquid(Frozen):
    """A liquid as far as its label tells."""

    glycol: Glycol | None
    """Which glycol is in it, any for water; None where the label does not say."""
    mass_fraction: float | None
    """Mass fraction, 0 for water [1]; None where the label does not say."""
    u_mass_fraction: float = 0.0
    """Its standard uncertainty [1]."""
    maker: Uncertain | None = None
    """Density by data sheet and its standard uncertainty [kg/m3]; None where there is none."""
    maker_k: float = 293.15
    """Temperature at which that holds [K]."""

    @property
    def published(self) -> bool:
        """Whether published properties hold for it."""
        return self.glycol is not None and self.mass_fraction is not None and self.mass_fraction <= HIGHEST_FRACTION


WATER = Liquid(glycol=Glycol.PROPYLENE, mass_fraction=0.0)
"""Water."""
NOT_KNOWN = Liquid(glycol=None, mass_fraction=None)
"""A liquid of which nothing is known."""


@cache
def liquid_of(bottle: Bottle) -> Liquid:
    """Return what a bottle holds.

    Returns
    -------
    Liquid
        Fraction by mass and density, as far as the label tells [SI].

    Raises
    ------
    InputError
        If the label contradicts itself, or a share by volume lies beyond the published table.

    Notes
    -----
    A share by volume becomes one by mass and gets ±0.01 more.

    Source: ``physics.glycol_fraction``.

    Examples
    --------
    >>> label = Bottle(bottle_id="", name="premix", base=Base.ETHYLENE_GLYCOL, size_m3=1e-3, fraction=0.5,
    ...     basis=Basis.VOLUME)
    >>> round(liquid_of(label).mass_fraction, 3)
    0.524
    """
    check_bottle(bottle)
    maker = None
    if bottle.density_kg_m3 is not None:
        maker = Uncertain(bottle.density_kg_m3, bottle.u_density_kg_m3)
    if bottle.base is Base.WATER:
        return Liquid(glycol=Glycol.PROPYLENE, mass_fraction=0.0, maker=maker, maker_k=bottle.density_k)
    if bottle.base not in GLYCOLS:
        return Liquid(glycol=None, mass_fraction=None, maker=maker, maker_k=bottle.density_k)
    glycol, share, u = GLYCOL_OF[bottle.base], bottle.fraction or 0.0, bottle.u_fraction
    if bottle.basis is Basis.VOLUME:
        try:
            share = mass_from_volume_fraction(glycol, share)
        except ValueError:
            raise InputError(
                f"{100 * share:g} % by volume is above the published table (about 58 %); type the share by mass"
            ) from None
        u = math.hypot(u, VOLUME_BASIS_U)
    return Liquid(glycol=glycol, mass_fraction=share, u_mass_fraction=u, maker=maker, maker_k=bottle.density_k)


def liquid_in(coolant: CoolantState) -> Liquid:
    """Return what a loop holds, for what is drained, spilled or drawn off.

    Returns
    -------
    Liquid
        Its fraction, where one can be stated [1].

    Notes
    -----
    A loop that holds a ready mix alone has no published properties.

    Source: none; a change of form.

    Examples
    --------
    >>> liquid_in(CoolantState(base=Base.PROPYLENE_GLYCOL, glycol_kg=0.3, total_kg=1.0)).mass_fraction
    0.3
    """
    fraction = coolant.mass_fraction
    if coolant.base is Base.WATER and fraction is not None:
        return WATER
    if coolant.base not in GLYCOLS or fraction is None:
        return NOT_KNOWN
    return Liquid(glycol=GLYCOL_OF[coolant.base], mass_fraction=fraction, u_mass_fraction=0.01)


def check_temperature(liquid: Liquid, at_k: float) -> None:
    """Refuse a temperature at which the liquid is none.

    Parameters
    ----------
    at_k
        Temperature [K].

    Raises
    ------
    InputError
        If it would be frozen or boil; the message is in °C.

    Notes
    -----
    Where nothing is known, −60 to 100 °C is allowed.

    Source: freezing points of Melinder, IIF-IIR 2010.

    Examples
    --------
    >>> check_temperature(WATER, 268.15)
    Traceback (most recent call last):
    commission.base.errors.InputError: -5 °C is below the freezing point of this liquid, 0 °C; check the temperature
    """
    lowest = 213.15
    if liquid.published:
        assert liquid.glycol is not None  # published says so
        assert liquid.mass_fraction is not None
        lowest = mixture.freezing_point(liquid.glycol, liquid.mass_fraction)
    if lowest <= at_k <= HIGHEST_K:
        return
    typed = show(at_k, Quantity.TEMPERATURE)
    if not at_k > HIGHEST_K:
        least = show(round(lowest - ICE_POINT_K, 1) + ICE_POINT_K, Quantity.TEMPERATURE)
        raise InputError(f"{typed} is below the freezing point of this liquid, {least}; check the temperature")
    most = show(HIGHEST_K, Quantity.TEMPERATURE)
    raise InputError(f"{typed} is above {most}, where no properties are published; check the temperature")


def expansion(liquid: Liquid, from_k: float, to_k: float) -> Uncertain:
    """Return by which factor a liquid grows from one temperature to another.

    Parameters
    ----------
    from_k
        First temperature [K].
    to_k
        Second temperature [K].

    Returns
    -------
    Uncertain
        Volume at to_k over volume at from_k, and its standard uncertainty [1].

    Raises
    ------
    InputError
        If the liquid would be frozen or boil at one of them.

    Notes
    -----
    Published density where there is one, pure glycol's beyond a fraction of 0.60, else a middle value with a wide
    uncertainty.

    Source: ``physics.glycol``, ``physics.glycol_fraction``.

    Examples
    --------
    Water from 20 to 60 °C, IAPWS-95: 1.526789 % more.

    >>> round((expansion(WATER, 293.15, 333.15).value - 1) * 100, 3)
    1.527
    """
    check_temperature(liquid, from_k)
    check_temperature(liquid, to_k)
    if liquid.published:
        assert liquid.glycol is not None  # published says so
        assert liquid.mass_fraction is not None
        cold = mixture.density(liquid.glycol, liquid.mass_fraction, from_k)
        return Uncertain(cold / mixture.density(liquid.glycol, liquid.mass_fraction, to_k))
    if liquid.glycol is not None and min(from_k, to_k) >= ICE_POINT_K:
        return Uncertain(pure_density(liquid.glycol, from_k) / pure_density(liquid.glycol, to_k))
    step = to_k - from_k
    return Uncertain(1 + UNKNOWN_EXPANSION_PER_K.value * step, abs(UNKNOWN_EXPANSION_PER_K.u * step))


def density_of(liquid: Liquid, at_k: Uncertain) -> Uncertain | None:
    """Return the density of a liquid, or nothing where nobody knows.

    Parameters
    ----------
    at_k
        Its temperature and standard uncertainty [K].

    Returns
    -------
    Uncertain or None
        Density and its standard uncertainty [kg/m3]; None where neither data sheet nor published data tell.

    Raises
    ------
    InputError
        If the liquid would be frozen or boil.

    Notes
    -----
    The data sheet comes first, carried to the temperature. Between a fraction of 0.60 and pure glycol nothing is
    published, so the data sheet is needed.

    Source: ``physics.weighing``; JCGM 100:2008, 5.1.2.

    Examples
    --------
    >>> density = density_of(WATER, Uncertain(295.15, 2.0))
    >>> f"{density.value:.1f} {density.u:.1f}"
    '997.8 0.7'
    """
    check_temperature(liquid, at_k.value)
    if liquid.maker is not None:
        grown = expansion(liquid, liquid.maker_k, at_k.value)
        value = liquid.maker.value / grown.value
        per_k = UNKNOWN_EXPANSION_PER_K.value * value
        return Uncertain(value, math.hypot(liquid.maker.u, value * grown.u, per_k * at_k.u))
    if liquid.glycol is None or liquid.mass_fraction is None:
        return None
    if liquid.published:
        model = density_with_uncertainty(liquid.glycol, Uncertain(liquid.mass_fraction, liquid.u_mass_fraction), at_k)
        doubt = WATER_DENSITY_U if liquid.mass_fraction == 0 else GLYCOL_DENSITY_U
        return Uncertain(model.value, math.hypot(model.u, doubt * model.value))
    if liquid.mass_fraction == 1 and at_k.value >= ICE_POINT_K:
        value = pure_density(liquid.glycol, at_k.value)
        return Uncertain(value, value * math.hypot(GLYCOL_DENSITY_U, UNKNOWN_EXPANSION_PER_K.value * at_k.u))
    return None
