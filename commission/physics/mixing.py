"""Mixing coolant: how much of each, what volume it makes, and the books of glycol and total mass in a loop."""

from typing import NamedTuple

from commission.physics import glycol as mixture
from commission.physics import require
from commission.physics.glycol import Glycol
from commission.physics.require import within


class Books(NamedTuple):
    """What a loop holds, by mass: the only quantities that add up exactly."""

    glycol_kg: float
    """Mass of glycol, 0 to total_kg [kg]."""
    total_kg: float
    """Mass of glycol and water, 0 or more [kg]."""

    @property
    def mass_fraction(self) -> float:
        """Mass of glycol over total mass [1]; 0 for an empty loop."""
        return self.glycol_kg / self.total_kg if self.total_kg > 0 else 0.0


class Blend(NamedTuple):
    """Two liquids poured together."""

    rich_kg: float
    """Mass of the richer one [kg]."""
    lean_kg: float
    """Mass of the leaner one [kg]."""
    rich_m3: float
    """Volume of the richer one before mixing [m3]."""
    lean_m3: float
    """Volume of the leaner one before mixing [m3]."""
    mixed_m3: float
    """Volume of the mixture [m3]."""

    @property
    def contraction(self) -> float:
        """Share of the summed volumes that mixing takes away [1]."""
        return 1 - self.mixed_m3 / (self.rich_m3 + self.lean_m3)


def pearson_square(target: float, rich: float, lean: float, total_kg: float) -> tuple[float, float]:
    """Return the masses of two mixtures that make a third.

    Parameters
    ----------
    target
        Wanted mass fraction, from lean to rich [1].
    rich
        Mass fraction of the richer one, 0 to 1 [1].
    lean
        Mass fraction of the leaner one, 0 to below rich; 0 is water [1].
    total_kg
        Mass of the mixture, above 0 [kg].

    Returns
    -------
    tuple
        Mass of the richer and of the leaner one [kg].

    Raises
    ------
    ValueError
        If a fraction is out of order or range, or the mass is not above 0.

    Notes
    -----
    m_rich : m_lean = (target − lean) : (rich − target). Exact, for masses add up. Shares by volume do not fit in.

    Source: Pearson's square, a balance of mass.

    Examples
    --------
    Hand calculation: 2 kg at 0.30 from a premix of 0.45 and water take two thirds of premix.

    >>> [round(kg, 5) for kg in pearson_square(0.30, 0.45, 0.0, 2.0)]
    [1.33333, 0.66667]
    """
    require.positive(total_kg=total_kg)
    within(0.0, 1.0, rich=rich, lean=lean)
    require.positive(difference_of_the_fractions=rich - lean)
    within(lean, rich, target=target)
    rich_kg = total_kg * (target - lean) / (rich - lean)
    return rich_kg, total_kg - rich_kg


def blend(
    glycol: Glycol,
    masses_kg: tuple[float, float],
    fractions: tuple[float, float],
    densities_kg_m3: tuple[float, float],
    temperature_k: float,
) -> Blend:
    """Return what volume two mixtures of the same glycol make together.

    Parameters
    ----------
    glycol
        Which glycol [word].
    masses_kg
        Masses of the richer and the leaner one, 0 or more, together above 0 [kg].
    fractions
        Their mass fractions, 0 to 1 [1].
    densities_kg_m3
        Their densities at the temperature, above 0 [kg/m3].
    temperature_k
        Temperature of all, from the freezing point to 373.15 [K].

    Returns
    -------
    Blend
        Masses and volumes before and after [kg and m3].

    Raises
    ------
    ValueError
        If a value is out of range, or the mixture is richer than the published data.

    Notes
    -----
    The volume is the total mass over the density of the mixture: it is 1 to 2 % less than the sum of the volumes.

    Source: balance of mass, with the density of Melinder, IIF-IIR 2010.

    Examples
    --------
    A litre each of ethylene glycol (1113.389 kg/m3) and of water at 20 °C make 1.97654 L (thermo and CoolProp):

    >>> b = blend(Glycol.ETHYLENE, (1.113389, 0.998207), (1.0, 0.0), (1113.389, 998.2072), 293.15)
    >>> f"{b.mixed_m3 * 1e3:.5f} L, {b.contraction:.4f} less"
    '1.97654 L, 0.0117 less'
    """
    require.not_negative(rich_kg=masses_kg[0], lean_kg=masses_kg[1])
    require.positive(total_kg=sum(masses_kg), rich_density=densities_kg_m3[0], lean_density=densities_kg_m3[1])
    within(0.0, 1.0, rich=fractions[0], lean=fractions[1])
    total = sum(masses_kg)
    mass_fraction = (masses_kg[0] * fractions[0] + masses_kg[1] * fractions[1]) / total
    return Blend(
        rich_kg=masses_kg[0],
        lean_kg=masses_kg[1],
        rich_m3=masses_kg[0] / densities_kg_m3[0],
        lean_m3=masses_kg[1] / densities_kg_m3[1],
        mixed_m3=total / mixture.density(glycol, mass_fraction, temperature_k),
    )


def after_adding(books: Books, mass_kg: float, mass_fraction: float) -> Books:
    """Return the books after something was poured in.

    Parameters
    ----------
    books
        What was in before [kg].
    mass_kg
        What came in, 0 or more [kg].
    mass_fraction
        Its mass fraction, 0 to 1 [1].

    Returns
    -------
    Books
        What is in now [kg].

    Raises
    ------
    ValueError
        If a value is out of range.

    Notes
    -----
    Both masses grow.

    Source: balance of mass.

    Examples
    --------
    Hand calculation: 812.4 g at 0.30 hold 243.72 g; with 63 g of water that is 243.72/875.4.

    >>> round(after_adding(Books(0.24372, 0.8124), 0.063, 0.0).mass_fraction, 6)
    0.27841
    """
    _check(books)
    require.not_negative(mass_kg=mass_kg)
    within(0.0, 1.0, mass_fraction=mass_fraction)
    return Books(books.glycol_kg + mass_kg * mass_fraction, books.total_kg + mass_kg)


def after_removing(books: Books, mass_kg: float) -> Books:
    """Return the books after some of the mixture went: drained, spilled, leaked or drawn off.

    Parameters
    ----------
    books
        What was in before [kg].
    mass_kg
        What went, 0 to the total [kg].

    Returns
    -------
    Books
        What is in now [kg].

    Raises
    ------
    ValueError
        If more went than was in.

    Notes
    -----
    Both masses shrink alike; the fraction stays.

    Source: balance of mass, well mixed.

    Examples
    --------
    Hand calculation: a tenth of 1000 g at 0.30 goes.

    >>> [round(kg, 3) for kg in after_removing(Books(0.3, 1.0), 0.1)]
    [0.27, 0.9]
    """
    _check(books)
    within(0.0, books.total_kg, mass_kg=mass_kg)
    left_kg = books.total_kg - mass_kg
    return Books(books.mass_fraction * left_kg, left_kg)


def after_evaporating(books: Books, water_kg: float) -> Books:
    """Return the books after water went alone: evaporated, or through the walls of the tubes.

    Parameters
    ----------
    books
        What was in before [kg].
    water_kg
        Water that went, 0 to all the water there was [kg].

    Returns
    -------
    Books
        What is in now [kg].

    Raises
    ------
    ValueError
        If more water went than was in.

    Notes
    -----
    Glycol hardly evaporates at these temperatures, so the fraction rises.

    Source: balance of mass.

    Examples
    --------
    Hand calculation: 1000 g at 0.30 lose 40 g of water: 300/960.

    >>> round(after_evaporating(Books(0.3, 1.0), 0.04).mass_fraction, 6)
    0.3125
    """
    _check(books)
    within(0.0, books.total_kg - books.glycol_kg, water_kg=water_kg)
    return Books(books.glycol_kg, books.total_kg - water_kg)


def _check(books: Books) -> None:
    require.not_negative(total_kg=books.total_kg)
    within(0.0, books.total_kg, glycol_kg=books.glycol_kg)
