"""Answers about a coolant on its own: its properties at a temperature, and how to mix one."""

from __future__ import annotations

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.physics import glycol as mixture
from commission.physics.glycol import HIGHEST_FRACTION, Glycol
from commission.physics.loop_volume import Uncertain
from commission.physics.mixing import Blend, blend, pearson_square
from commission.stages.fill.judge.liquid import GLYCOL_OF, Liquid, check_temperature, density_of
from commission.stages.fill.model.coolant import GLYCOLS, Base


class CoolantProperties(Frozen):
    """What published data say of a coolant at a temperature."""

    density_kg_m3: float
    """Density [kg/m3]."""
    heat_capacity_j_kg_k: float
    """Specific heat capacity [J/(kg·K)]."""
    viscosity_pa_s: float
    """Dynamic viscosity [Pa·s]."""
    freezing_k: float
    """Temperature at which ice forms [K]."""
    volume_m3: float | None = None
    """Volume of the weight that was asked for [m3]; None where none was."""


def coolant_properties(
    base: Base, mass_fraction: float, at_k: float, *, weight_kg: float | None = None
) -> CoolantProperties:
    """Return the properties of a coolant.

    Parameters
    ----------
    base
        Water, propylene or ethylene glycol [word].
    mass_fraction
        Mass fraction, 0 to 0.60; 0 for water [1].
    at_k
        Temperature, from the freezing point to 373.15 [K].
    weight_kg
        Weight whose volume is asked for, above 0; None for none [kg].

    Raises
    ------
    InputError
        If the base has no published properties, the fraction is out of range, the coolant would be frozen or boil, or
        the weight is not above 0.

    Notes
    -----
    Nothing is extrapolated.

    Source: ``physics.glycol`` and ``physics.water``.

    Examples
    --------
    Hand calculation: 653.4 g over 1022.855 kg/m3 (MPG 0.30 at 22 °C, CoolProp).

    >>> found = coolant_properties(Base.PROPYLENE_GLYCOL, 0.30, 295.15, weight_kg=0.6534)
    >>> round(found.volume_m3 * 1e6, 1)
    638.8
    """
    glycol = _glycol(base, mass_fraction)
    check_temperature(Liquid(glycol=glycol, mass_fraction=mass_fraction), at_k)
    if weight_kg is not None and not weight_kg > 0:
        raise InputError("a weight must be above 0; type what the scale shows")
    density = mixture.density(glycol, mass_fraction, at_k)
    return CoolantProperties(
        density_kg_m3=density,
        heat_capacity_j_kg_k=mixture.heat_capacity(glycol, mass_fraction, at_k),
        viscosity_pa_s=mixture.viscosity(glycol, mass_fraction, at_k),
        freezing_k=mixture.freezing_point(glycol, mass_fraction),
        volume_m3=None if weight_kg is None else weight_kg / density,
    )


def mix_to_target(
    base: Base,
    target: float,
    *,
    rich: float,
    lean: float = 0.0,
    total_kg: float | None = None,
    total_m3: float | None = None,
    at_k: float = 293.15,
    rich_density_kg_m3: float | None = None,
) -> Blend:
    """Return how much of a concentrate and of water or premix make a coolant.

    Parameters
    ----------
    base
        Propylene or ethylene glycol [word].
    target
        Wanted mass fraction, between lean and rich, at most 0.60 [1].
    rich
        Mass fraction of the concentrate, up to 1 [1].
    lean
        Mass fraction of what thins it, 0 for water [1].
    total_kg
        Wanted mass; None where a volume is wanted [kg].
    total_m3
        Wanted volume at at_k; None where a mass is wanted [m3].
    at_k
        Temperature of all [K].
    rich_density_kg_m3
        Density of the concentrate by its data sheet; needed between 0.60 and 1 [kg/m3].

    Returns
    -------
    Blend
        Masses, volumes before mixing, and the volume of the mixture [kg and m3].

    Raises
    ------
    InputError
        If the target lies outside of what is mixed, both or neither total is given, or a density is not known.

    Notes
    -----
    Pearson's square on masses; the volume that mixing takes away is counted.

    Source: ``physics.mixing``.

    Examples
    --------
    Hand calculation: 2 kg at 0.30 from a premix of 0.45 and water.

    >>> made = mix_to_target(Base.PROPYLENE_GLYCOL, 0.30, rich=0.45, total_kg=2.0)
    >>> f"{made.rich_kg:.5f} + {made.lean_kg:.5f} kg"
    '1.33333 + 0.66667 kg'
    """
    if base not in GLYCOLS:
        raise InputError(f"{base} is not mixed to a target; choose propylene glycol or ethylene glycol")
    glycol = _glycol(base, target)
    if not (0 <= lean <= target <= rich <= 1 and lean < rich):
        raise InputError(
            f"{100 * target:g} % cannot be mixed from {100 * rich:g} % and {100 * lean:g} %; it must lie between them"
        )
    check_temperature(Liquid(glycol=glycol, mass_fraction=lean), at_k)
    check_temperature(Liquid(glycol=glycol, mass_fraction=target), at_k)
    if (total_kg is None) == (total_m3 is None):
        raise InputError("type how much is wanted, by weight or by volume, one of both")
    total = total_kg if total_kg is not None else (total_m3 or 0.0) * mixture.density(glycol, target, at_k)
    if not total > 0:
        raise InputError("the wanted amount must be above 0")
    densities = (_density(glycol, rich, at_k, rich_density_kg_m3), _density(glycol, lean, at_k, None))
    return blend(glycol, pearson_square(target, rich, lean, total), (rich, lean), densities, at_k)


def _glycol(base: Base, mass_fraction: float) -> Glycol:
    """Return the glycol of a base; any for water."""
    if base is Base.WATER:
        if mass_fraction != 0:
            raise InputError("water holds no glycol; leave the fraction out, or name the glycol")
        return Glycol.PROPYLENE
    if base not in GLYCOL_OF:
        raise InputError(f"no properties are published for {base}; choose water, propylene glycol or ethylene glycol")
    if not 0 <= mass_fraction <= HIGHEST_FRACTION:
        raise InputError(
            f"{100 * mass_fraction:g} % by mass is outside the published range, 0 to {100 * HIGHEST_FRACTION:g} %; "
            "nothing is extrapolated"
        )
    return GLYCOL_OF[base]


def _density(glycol: Glycol, fraction: float, at_k: float, maker: float | None) -> float:
    sheet = None if maker is None else Uncertain(maker)
    liquid = Liquid(glycol=glycol, mass_fraction=fraction, maker=sheet, maker_k=at_k)
    density = density_of(liquid, Uncertain(at_k))
    if density is None:
        raise InputError(
            f"no density is published for {100 * fraction:g} % by mass; type that of the concentrate's data sheet"
        )
    return density.value
