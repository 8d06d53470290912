"""The verdict of a fill: how much is in, how much should be, and what the difference proves."""

from __future__ import annotations

import math
from collections.abc import Sequence

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase
from commission.base.verdict import Bounded, Outcome
from commission.physics.gas import ICE_POINT_K
from commission.physics.glycol import HIGHEST_FRACTION, freezing_point
from commission.physics.loop_volume import Uncertain
from commission.record.machine.loop import LoopVolume
from commission.stages.fill.judge import reasons as fill_reasons
from commission.stages.fill.judge.liquid import density_of, liquid_in, liquid_of
from commission.stages.fill.judge.mixture import Running, fold_movements
from commission.stages.fill.model.coolant import GLYCOLS, Base
from commission.stages.fill.model.fill import LAST_FILL, FillPicture, FillProof, FillSetup, FillVerdict, Movement
from commission.statistics.conformity import guard_band

K95 = 1.959963984540054
"""Two-sided 95 % of a normal distribution [1], for the band that is drawn. Source: JCGM 100:2008, table G.1."""


class _Difference(Frozen):
    """Expected less filled volume."""

    missing: Bounded
    u_m3: float
    proof: FillProof


def expected_liquid(loop: LoopVolume | None, headspace_m3: Uncertain) -> LoopVolume | None:
    """Return the liquid that a loop should take.

    Parameters
    ----------
    loop
        Its inner volume, or the liquid of a former fill; None where nobody knows [m3].
    headspace_m3
        Air that is meant to stay in the reservoir, and its standard uncertainty [m3].

    Returns
    -------
    LoopVolume or None
        Liquid and its standard uncertainty [m3]; None where nobody knows, or the headspace leaves nothing.

    Notes
    -----
    A former fill already is liquid: nothing is taken off.

    Source: JCGM 100:2008, 5.1.2.

    Examples
    --------
    >>> loop = LoopVolume(volume_m3=1e-3, u_volume_m3=3e-5, basis="parts")
    >>> round(expected_liquid(loop, Uncertain(1e-4, 4e-5)).u_volume_m3 * 1e6)
    50
    """
    if loop is None or loop.basis == LAST_FILL:
        return loop
    if loop.volume_m3 <= headspace_m3.value:
        return None
    return LoopVolume(
        volume_m3=loop.volume_m3 - headspace_m3.value,
        u_volume_m3=math.hypot(loop.u_volume_m3, headspace_m3.u),
        basis=loop.basis,
    )


def evaluate_fill(moves: Sequence[Movement], setup: FillSetup, *, running: bool = False) -> FillVerdict:
    """Judge a fill.

    Parameters
    ----------
    moves
        What went in and out, in order [records].
    running
        Whether filling goes on [true or false].

    Returns
    -------
    FillVerdict
        Outcome, total, what is missing with its bounds, and what is in the loop [SI].

    Raises
    ------
    InputError
        If a bottle's label contradicts itself; bottles are checked before they are stored.
    ValueError
        If the limit is not between 0 and 1.

    Notes
    -----
    Pass if even the upper bound of what is missing is within the limit, fail if the lower is beyond it, or if more went
    in than fits, otherwise inconclusive. While filling goes on, a missing volume is no failure, but more than fits is.
    Where coolant ran out and nobody knows how much, only a fail for too little counts: still less is in.
    Whether any air is left is answered apart: a difference smaller than its uncertainty proves nothing.

    Source: JCGM 106:2012 for decisions with guard bands; the limit is the procedure's.

    Examples
    --------
    Hand calculation: 910.45(33.67) mL expected, 868.3(1.9) mL poured: 42.15 ± √(33.67² + 1.9²) mL.

    >>> from commission.stages.fill.model.coolant import Bottle
    >>> from commission.stages.fill.model.fill import Dose, Pour, Way
    >>> water = Bottle(bottle_id="b", name="water", base=Base.WATER, size_m3=1e-3)
    >>> dose = Dose(way=Way.VOLUME, volume_m3=868.3e-6, at_k=293.15, u_reading_m3=1.9e-6, u_shared_m3=0)
    >>> loop = LoopVolume(volume_m3=910.45e-6, u_volume_m3=33.674e-6, basis="parts")
    >>> verdict = evaluate_fill([Pour(bottle=water, dose=dose)], FillSetup(expected=loop, missing_share=0.3))
    >>> f"{verdict.missing.value * 1e6:.2f} {verdict.proof}"
    "42.15 can't tell"
    """
    if not 0 < setup.missing_share < 1:
        raise ValueError("the share that may be missing must be above 0 and below 1")
    states = fold_movements(moves, setup.reference_k)
    last = states[-1] if states else Running()
    difference = _difference(last, setup.expected)
    outcome, why = _decide(moves, last, setup, difference, running)
    freezing = _freezing(last)
    others = [
        None
        if difference is None
        else fill_reasons.proof_phrase(difference.proof, difference.missing, difference.u_m3),
        fill_reasons.coolant_phrase(last.coolant, freezing),
        fill_reasons.contraction_phrase(last.contraction_m3),
        _once_too_much(states, setup.expected),
    ]
    reasons = [why, *(said for said in others if said is not None and said.code != why.code)]
    return _verdict(last, setup, difference, outcome, tuple(reasons), freezing, states)


def _once_too_much(states: Sequence[Running], expected: LoopVolume | None) -> Phrase | None:
    """Return that for a while more was in than the loop takes for sure, where it came out again; None elsewhere."""
    over = [found for one in states if (found := _difference(one, expected)) and found.proof is FillProof.TOO_MUCH]
    last = _difference(states[-1], expected) if over else None
    if last is None or last.proof is FillProof.TOO_MUCH:
        return None
    return fill_reasons.once_too_much(max(-one.missing.value for one in over))


def holds_too_much(moves: Sequence[Movement], expected: LoopVolume) -> bool:
    """Return whether it is proven that more is in than a loop takes, whatever may be missing of it.

    Source: as ``evaluate_fill``.
    """
    states = fold_movements(moves)
    found = _difference(states[-1] if states else Running(), expected)
    return found is not None and found.proof is FillProof.TOO_MUCH


def _difference(last: Running, expected: LoopVolume | None) -> _Difference | None:
    if expected is None:
        return None
    value = expected.volume_m3 - last.volume_m3
    u = math.hypot(expected.u_volume_m3, last.u_volume_m3)
    width = guard_band(u)
    missing = Bounded(value=value, lower95=value - width, upper95=value + width)
    proof = FillProof.CANNOT_TELL
    if missing.lower95 > 0:
        proof = FillProof.MISSING
    elif missing.upper95 < 0:
        proof = FillProof.TOO_MUCH
    return _Difference(missing=missing, u_m3=u, proof=proof)


def _decide(
    moves: Sequence[Movement], last: Running, setup: FillSetup, difference: _Difference | None, running: bool
) -> tuple[Outcome, Phrase]:
    """Return the outcome and the reason that decided."""
    nothing = Outcome.INCONCLUSIVE if running else Outcome.INVALID
    if not moves:
        return nothing, fill_reasons.NOTHING_POURED
    if last.lacking_m3 > 2 * last.u_volume_m3 + 1e-9:
        return Outcome.INVALID, fill_reasons.overdrawn(last.lacking_m3)
    if difference is None or setup.expected is None:
        return nothing, fill_reasons.NOTHING_EXPECTED
    missing = difference.missing
    limit = setup.missing_share * setup.expected.volume_m3
    if setup.amount_unknown and missing.lower95 <= limit:
        return Outcome.INCONCLUSIVE, fill_reasons.AMOUNT_UNKNOWN
    if difference.proof is FillProof.TOO_MUCH:
        return Outcome.FAIL, fill_reasons.proof_phrase(difference.proof, missing, difference.u_m3)
    if missing.upper95 <= limit:
        return Outcome.PASS, fill_reasons.against_limit(True, missing, limit)
    if missing.lower95 > limit:
        outcome = Outcome.INCONCLUSIVE if running else Outcome.FAIL
        return outcome, fill_reasons.against_limit(False, missing, limit)
    return Outcome.INCONCLUSIVE, fill_reasons.against_limit(None, missing, limit)


def _freezing(last: Running) -> float | None:
    """Return the freezing point of what is in the loop [K]; None where it cannot be stated."""
    coolant = last.coolant
    fraction = coolant.mass_fraction
    if coolant.base is Base.WATER and fraction is not None:
        return ICE_POINT_K
    if coolant.base in GLYCOLS and fraction is not None and fraction <= HIGHEST_FRACTION:
        glycol = liquid_in(coolant).glycol
        return None if glycol is None else freezing_point(glycol, fraction)
    return last.only.freezing_k if last.only is not None and coolant.base is Base.READY_MIX else None


def _density(last: Running, reference_k: float) -> float | None:
    liquid = liquid_in(last.coolant) if last.only is None else liquid_of(last.only)
    if last.coolant.base is None:
        return None
    density = density_of(liquid, Uncertain(reference_k))
    return None if density is None else density.value


def _verdict(
    last: Running,
    setup: FillSetup,
    difference: _Difference | None,
    outcome: Outcome,
    reasons: tuple[Phrase, ...],
    freezing_k: float | None,
    states: tuple[Running, ...],
) -> FillVerdict:
    expected = setup.expected
    return FillVerdict(
        outcome=outcome,
        filled_m3=last.volume_m3,
        u_filled_m3=last.u_volume_m3,
        expected_m3=expected.volume_m3 if expected else None,
        u_expected_m3=expected.u_volume_m3 if expected else None,
        basis=expected.basis if expected else "",
        filled_share=last.volume_m3 / expected.volume_m3 if expected else None,
        missing=difference.missing if difference else None,
        proof=difference.proof if difference else None,
        missing_share_limit=setup.missing_share,
        reference_k=setup.reference_k,
        coolant=last.coolant,
        freezing_k=freezing_k,
        density_kg_m3=_density(last, setup.reference_k),
        movements=len(states),
        reasons=reasons,
        picture=_picture(states, expected),
    )


def _picture(states: tuple[Running, ...], expected: LoopVolume | None) -> FillPicture | None:
    if not states:
        return None
    return FillPicture(
        seq=tuple(range(1, len(states) + 1)),
        total_m3=tuple(state.volume_m3 for state in states),
        u_total_m3=tuple(state.u_volume_m3 for state in states),
        low_m3=expected.volume_m3 - K95 * expected.u_volume_m3 if expected else None,
        high_m3=expected.volume_m3 + K95 * expected.u_volume_m3 if expected else None,
    )
