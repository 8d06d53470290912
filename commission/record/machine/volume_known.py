"""How the volume of a loop is known, and how far that can be off."""

from enum import StrEnum


class VolumeKnown(StrEnum):
    """How the volume of a loop is known, the best first."""

    MEASURED = "measured on air"
    SHEETS = "data sheets"
    GUESSED = "guessed"


SHARE_U = {VolumeKnown.MEASURED: 0.03, VolumeKnown.SHEETS: 0.05, VolumeKnown.GUESSED: 0.15}
"""Relative standard uncertainty where none was typed [1]; our choice: strokes, data sheets and guesses as they are.

Measured on air: pump strokes and a gauge give 1 to 2 % (quadrature of stroke, barometer and gauge), 3 % leaves room
for a stroke that was not full. Data sheets: parts are stated to about 10 % and tube is cut by eye, ± 10 % at 95 %.
Guessed: ± 30 % at 95 %, so that a volume that is off by 20 % still lies within the bounds of the leak rate.
"""


def u_of_volume(volume_m3: float, known: VolumeKnown) -> float:
    """Return the standard uncertainty of a volume for which none was typed or measured.

    Parameters
    ----------
    volume_m3
        The volume, above 0 [m3].

    Returns
    -------
    float
        Standard uncertainty [m3]. One that was typed with the volume, or that came out of a measurement on air, goes
        before this.

    Raises
    ------
    ValueError
        If the volume is not above 0.

    Notes
    -----
    Our choice, see `SHARE_U`.

    Examples
    --------
    >>> round(u_of_volume(1.2e-3, VolumeKnown.GUESSED) * 1e6)
    180
    """
    if not volume_m3 > 0:
        raise ValueError("a volume must be above 0")
    return SHARE_U[known] * volume_m3
