"""What the pressure says in one try of a leak search: leaks, tight, or not clear yet."""

from commission.base.frozen import Frozen
from commission.physics.gas import STANDARD_ATMOSPHERE_PA
from commission.stages.pressure_hold.entries import TryWord

ROOM_K = 293.15
"""Temperature of a room at which a swing is turned into pressure [K]; our choice: 20 °C, as leak rates refer to."""


class TryBasis(Frozen):
    """By what a try is judged."""

    leak_pa_m3_s: float
    """What the loop leaks at the least, as the hold showed [Pa·m3/s]."""
    volume_m3: float
    """What the whole loop holds at the most [m3]; what is parted off falls faster."""
    step_pa: float
    """One step of the gauge [Pa]."""
    room_swing_k: float
    """How far the room may wander unseen [K]."""


def noise_pa(basis: TryBasis, gauge_pa: float) -> float:
    """Return the change of pressure that needs no leak [Pa].

    Two readings are off by at most half a step each, and each last digit may flicker by half a step; the gas follows
    the room, p·dT/T. Our choice: both at their worst, in one direction.
    """
    return 2 * basis.step_pa + (gauge_pa + STANDARD_ATMOSPHERE_PA) * basis.room_swing_k / ROOM_K


def fall_pa(basis: TryBasis, after_s: float) -> float:
    """Return by how much a part of the loop with the leak in it falls at the least [Pa]: q·t/V, the whole loop's V."""
    return basis.leak_pa_m3_s * after_s / basis.volume_m3


def wait_s(basis: TryBasis, gauge_pa: float) -> float:
    """Return after which time a try is clear either way [s].

    The leak makes twice what needs no leak: a fall below the half then cannot be the leak less that noise.
    """
    return 2 * noise_pa(basis, gauge_pa) * basis.volume_m3 / basis.leak_pa_m3_s


def word_of(basis: TryBasis, start_pa: float, end_pa: float, after_s: float) -> TryWord:
    """Return what the gauge says.

    Parameters
    ----------
    start_pa, end_pa
        What the gauge showed [Pa gauge].
    after_s
        The time between them [s].

    Returns
    -------
    TryWord
        LEAKS: it fell by more than needs no leak, and by no less than the leak would make, less that. TIGHT: even
        with that, it fell by less than the leak makes. NOT_CLEAR: neither.
    """
    noise, expected, fell = noise_pa(basis, start_pa), fall_pa(basis, after_s), start_pa - end_pa
    if fell < -noise:
        return TryWord.NOT_CLEAR
    if fell > noise and fell + noise >= expected:
        return TryWord.LEAKS
    return TryWord.TIGHT if fell <= noise and fell + noise < expected else TryWord.NOT_CLEAR
