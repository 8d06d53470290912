"""Fold what went in and out into what is in the loop: glycol, total mass, volume, and what can be said of it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import lru_cache

from commission.base.errors import InputError
from commission.base.frozen import Frozen, field, replace
from commission.physics import glycol as mixture
from commission.physics.glycol import HIGHEST_FRACTION
from commission.physics.loop_volume import Uncertain
from commission.physics.mixing import Books, after_adding, after_evaporating, after_removing
from commission.stages.fill.judge.liquid import WATER, Liquid, density_of, expansion, liquid_in, liquid_of
from commission.stages.fill.model.coolant import EMPTY, GLYCOLS, Base, Bottle, CoolantState
from commission.stages.fill.model.fill import (
    REFERENCE_K,
    Dose,
    Drain,
    Evaporation,
    Movement,
    Pour,
    Spill,
    SyringeOut,
    Way,
)

NOTHING_KG = 1e-9
"""Less than this is nothing [kg]; our choice: a microgram, far below any scale, far above the rounding of sums."""
UNREDUCED = Uncertain(1.0, 0.01)
"""Expansion where the temperature of an amount does not fit what is in the loop [1]; our choice: none, within 1 %,
which is what 20 K make in most coolants (Melinder 2010)."""


class Running(Frozen):
    """What is in a loop after some movements."""

    coolant: CoolantState = EMPTY
    """What it is."""
    volume_m3: float = 0.0
    """Its volume at the reference temperature [m3]."""
    reading_squares_m6: float = 0.0
    """Sum of squares of the uncertainties that are new with each amount [m6]."""
    shared_m3: Mapping[str, float] = field(default_factory=dict)
    """Uncertainty that amounts of one origin share, by origin, signed [m3]."""
    lacking_m3: float = 0.0
    """How much more came out than was in by the record [m3]."""
    contraction_m3: float = 0.0
    """Volume that mixing took away [m3]."""
    only: Bottle | None = None
    """The bottle, where all came from bottles of one kind."""

    @property
    def u_volume_m3(self) -> float:
        """Standard uncertainty of the volume [m3]."""
        return math.sqrt(self.reading_squares_m6 + sum(u * u for u in self.shared_m3.values()))


def fold_movements(moves: Sequence[Movement], reference_k: float = REFERENCE_K) -> tuple[Running, ...]:
    """Return what is in the loop after each movement.

    Parameters
    ----------
    moves
        What went in and out, in order [records].
    reference_k
        Temperature to which volumes are referred [K].

    Returns
    -------
    tuple
        One state a movement [SI]; empty for none.

    Raises
    ------
    InputError
        If a bottle's label contradicts itself; bottles are checked before they are stored.

    Notes
    -----
    Pours add glycol and total mass; drains, spills and syringes take both at the loop's own fraction; evaporation takes
    water alone. Different glycols, a ready mix with anything else, or an unknown label make a mixture of which no
    fraction can be stated, until the loop is empty by the record. Volumes are referred to one temperature and mixing
    takes its one or two per cent. Doubts of one origin (a bottle's density, a cup's scale) add linearly, all others
    as squares (JCGM 100:2008, 5.2.2).

    Source: balance of mass, ``physics.mixing``.

    Examples
    --------
    Hand calculation: 812.4 g at 0.30 and 63 g of water: 243.72/875.4.

    >>> from commission.stages.fill.model.coolant import Basis
    >>> premix = Bottle(bottle_id="a", name="premix", base=Base.PROPYLENE_GLYCOL, size_m3=1e-3, fraction=0.3,
    ...     basis=Basis.MASS)
    >>> water = Bottle(bottle_id="b", name="water", base=Base.WATER, size_m3=1e-3)
    >>> def dose(ml, kg):
    ...     return Dose(way=Way.WEIGHED, volume_m3=ml * 1e-6, at_k=293.15, u_reading_m3=0, u_shared_m3=0, mass_kg=kg)
    >>> moves = [Pour(bottle=premix, dose=dose(793.5, 0.8124)), Pour(bottle=water, dose=dose(63, 0.063))]
    >>> round(fold_movements(moves)[-1].coolant.mass_fraction, 6)
    0.27841
    """
    return _folded(tuple(moves), reference_k)


@lru_cache(maxsize=8)  # one Enter asks for the same sum by its verdict, its headspace and its total
def _folded(moves: tuple[Movement, ...], reference_k: float) -> tuple[Running, ...]:
    states: list[Running] = []
    now = Running()
    for move in moves:
        now = _step(now, move, reference_k)
        states.append(now)
    return tuple(states)


def _step(now: Running, move: Movement, reference_k: float) -> Running:
    match move:
        case Pour(bottle=bottle, dose=dose):
            return _pour(now, bottle, dose, reference_k)
        case Spill(bottle=bottle, dose=dose) if bottle is not None:
            liquid, share = liquid_of(bottle), liquid_of(bottle).mass_fraction
            moved = _moved(now, dose, liquid, -1.0, bottle.bottle_id, reference_k)
            return _taken(now, moved, _mass(dose, liquid), share)
        case Evaporation(dose=dose):
            moved = _moved(now, dose, WATER, -1.0, "loop", reference_k)
            return _evaporated(now, moved, _mass(dose, WATER))
        case Drain(dose=dose) | Spill(dose=dose) | SyringeOut(dose=dose):
            liquid = liquid_in(now.coolant)
            moved = _moved(now, dose, liquid, -1.0, "loop", reference_k)
            return _taken(now, moved, _mass(dose, liquid), None)


def _moved(now: Running, dose: Dose, liquid: Liquid, sign: float, origin: str, reference_k: float) -> Running:
    """Return the state with volume and uncertainty moved; the coolant is still that of before."""
    try:
        grown = expansion(liquid, dose.at_k, reference_k)
    except InputError:
        grown = UNREDUCED
    origin = "cup" if dose.way in (Way.VOLUME, Way.ESTIMATED) else origin
    shared = dict(now.shared_m3)
    shared[origin] = shared.get(origin, 0.0) + sign * dose.u_shared_m3 * grown.value
    shared["expansion"] = shared.get("expansion", 0.0) + sign * dose.volume_m3 * grown.u
    return replace(
        now,
        volume_m3=now.volume_m3 + sign * dose.volume_m3 * grown.value,
        reading_squares_m6=now.reading_squares_m6 + (dose.u_reading_m3 * grown.value) ** 2,
        shared_m3=shared,
    )


def _mass(dose: Dose, liquid: Liquid) -> float | None:
    if dose.mass_kg is not None:
        return dose.mass_kg
    try:
        density = density_of(liquid, Uncertain(dose.at_k))
    except InputError:
        return None
    return None if density is None else dose.volume_m3 * density.value


def _pour(now: Running, bottle: Bottle, dose: Dose, reference_k: float) -> Running:
    liquid = liquid_of(bottle)
    mass = _mass(dose, liquid)
    before = now.coolant
    moved = _moved(now, dose, liquid, 1.0, bottle.bottle_id, reference_k)
    after = _poured(before, bottle, liquid, mass)
    lost = _contraction(before, after, liquid, mass, reference_k)
    same = before.base is None or (now.only is not None and now.only.kind == bottle.kind)
    return replace(
        moved,
        coolant=after,
        volume_m3=moved.volume_m3 - lost,
        contraction_m3=now.contraction_m3 + lost,
        only=bottle if same else None,
    )


def _poured(before: CoolantState, bottle: Bottle, liquid: Liquid, mass: float | None) -> CoolantState:
    total = None if before.total_kg is None or mass is None else before.total_kg + mass
    if before.base is None:
        return _alone(bottle, liquid, mass)
    simple = (Base.WATER, *GLYCOLS)
    others = {base for base in (before.base, bottle.base) if base is not Base.WATER}
    if before.base in simple and bottle.base in simple and len(others) <= 1:
        base = others.pop() if others else Base.WATER
        if before.glycol_kg is None or before.total_kg is None or mass is None or liquid.mass_fraction is None:
            why = before.why or f"nobody knows the density of {bottle.name}"
            return CoolantState(base=base, glycol_kg=None, total_kg=total, why=why)
        books = after_adding(Books(before.glycol_kg, before.total_kg), mass, liquid.mass_fraction)
        return CoolantState(base=base, glycol_kg=books.glycol_kg, total_kg=books.total_kg)
    if before.base is Base.READY_MIX and bottle.base is Base.READY_MIX and before.product == bottle.kind:
        return replace(before, total_kg=total)
    return CoolantState(base=Base.UNKNOWN, glycol_kg=None, total_kg=total, why=_why_mixed(before, bottle))


def _alone(bottle: Bottle, liquid: Liquid, mass: float | None) -> CoolantState:
    """Return the state of a loop that held nothing before."""
    if bottle.base is Base.READY_MIX:
        why = "a ready mix: its maker states no fraction"
        return CoolantState(base=bottle.base, glycol_kg=None, total_kg=mass, product=bottle.kind, why=why)
    if bottle.base is Base.UNKNOWN:
        why = f"nobody knows what {bottle.name} is made of"
        return CoolantState(base=bottle.base, glycol_kg=None, total_kg=mass, why=why)
    if mass is None or liquid.mass_fraction is None:
        why = f"nobody knows the density of {bottle.name}"
        return CoolantState(base=bottle.base, glycol_kg=None, total_kg=None, why=why)
    return CoolantState(base=bottle.base, glycol_kg=mass * liquid.mass_fraction, total_kg=mass)


def _why_mixed(before: CoolantState, bottle: Bottle) -> str:
    if before.base is Base.UNKNOWN and before.why:
        return before.why
    if bottle.base is Base.UNKNOWN:
        return f"nobody knows what {bottle.name} is made of"
    if before.base is bottle.base:
        return "two different ready mixes are mixed"
    return f"{before.base} and {bottle.base} are mixed"


def _contraction(
    before: CoolantState, after: CoolantState, liquid: Liquid, mass: float | None, reference_k: float
) -> float:
    """Return the volume that mixing takes away [m3]; 0 where nothing published tells."""
    old, new = before.mass_fraction, after.mass_fraction
    if old is None or new is None or mass is None or liquid.glycol is None or liquid.mass_fraction is None:
        return 0.0
    if max(old, new) > HIGHEST_FRACTION or after.base not in GLYCOLS or old == liquid.mass_fraction:
        return 0.0
    modelled = replace(liquid, maker=None) if liquid.published else liquid
    alone = density_of(modelled, Uncertain(reference_k))
    glycol = liquid_in(after).glycol
    if alone is None or glycol is None or before.total_kg is None:
        return 0.0
    apart = before.total_kg / mixture.density(glycol, old, reference_k) + mass / alone.value
    return apart - (before.total_kg + mass) / mixture.density(glycol, new, reference_k)


def _taken(now: Running, moved: Running, mass: float | None, share: float | None) -> Running:
    """Take an amount out at its own share of glycol, or at the loop's where that is None."""
    coolant = now.coolant
    if moved.volume_m3 <= 0 or (mass is not None and coolant.total_kg is not None and mass >= coolant.total_kg):
        return _emptied(moved)
    total = None if mass is None or coolant.total_kg is None else coolant.total_kg - mass
    if coolant.glycol_kg is None or coolant.total_kg is None or mass is None or total is None:
        return replace(moved, coolant=replace(coolant, total_kg=total))
    if share is None:
        glycol = after_removing(Books(coolant.glycol_kg, coolant.total_kg), mass).glycol_kg
    else:
        glycol = min(max(coolant.glycol_kg - mass * share, 0.0), total)
    return replace(moved, coolant=replace(coolant, glycol_kg=glycol, total_kg=total))


def _evaporated(now: Running, moved: Running, mass: float | None) -> Running:
    coolant = now.coolant
    if coolant.glycol_kg is None or coolant.total_kg is None or mass is None:
        return _taken(now, moved, mass, None)
    water_kg = coolant.total_kg - coolant.glycol_kg
    if mass >= water_kg - NOTHING_KG:
        return _emptied(moved) if coolant.glycol_kg <= NOTHING_KG else _lacking(moved, now)
    books = after_evaporating(Books(coolant.glycol_kg, coolant.total_kg), mass)
    return replace(moved, coolant=replace(coolant, total_kg=books.total_kg), only=None)


def _lacking(moved: Running, now: Running) -> Running:
    """Return the state of before where more water is said to be gone than there was, and keep that in mind."""
    return replace(now, lacking_m3=now.lacking_m3 + abs(now.volume_m3 - moved.volume_m3))


def _emptied(moved: Running) -> Running:
    """Return an empty loop; what came out beyond what was in is kept in mind."""
    lacking = moved.lacking_m3 + max(0.0, -moved.volume_m3)
    return replace(moved, coolant=EMPTY, volume_m3=0.0, lacking_m3=lacking, contraction_m3=0.0, only=None)
