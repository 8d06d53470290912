"""The internal volume of a loop, measured on air, with its standard uncertainty."""

import math
from typing import NamedTuple

from commission.physics import require


class Uncertain(NamedTuple):
    """A value and its standard uncertainty, in the same unit."""

    value: float
    """Best estimate."""
    u: float = 0.0
    """Standard uncertainty, 0 or more."""


def volume_by_strokes(strokes: int, stroke_m3: Uncertain, barometer_pa: Uncertain, rise_pa: Uncertain) -> Uncertain:
    """Return the volume of a loop from strokes of a known volume and the rise they make.

    Parameters
    ----------
    strokes
        Number of strokes, each taking in air of the room, 1 or more [1].
    stroke_m3
        Volume of one stroke, above 0; its error is the same in all strokes [m3].
    barometer_pa
        Pressure of the room, above 0 [Pa].
    rise_pa
        Rise of the pressure in the loop, read after it has cooled, above 0 [Pa].

    Returns
    -------
    Uncertain
        Volume including hose and gauge, and its standard uncertainty [m3].

    Raises
    ------
    ValueError
        If a value is not a finite number above 0, an uncertainty is negative, or there is no stroke.

    Notes
    -----
    V = n·V_s·p_b/Δp, from any start, at one temperature. Uncertainties are independent and of first order. A reading
    taken while the air is still warm overstates the rise and understates the volume, by up to 1.4 times. Soft tubes
    make the result the mean over the pressures passed.

    Source: Boyle's law; JCGM 100:2008, 5.1.2 for the uncertainty.

    Examples
    --------
    Hand calculation: 5 strokes of 60(0.5) mL, 1013.25(1) mbar, rise 250(1.5) mbar: 0.3 L · 4.053 = 1.2159 L, and
    √(0.8333² + 0.0987² + 0.6²) % = 1.0316 % of it.

    >>> v = volume_by_strokes(5, Uncertain(60e-6, 0.5e-6), Uncertain(101_325, 100), Uncertain(25_000, 150))
    >>> f"{v.value * 1e3:.4f} {v.u * 1e3:.4f}"
    '1.2159 0.0125'
    """
    if strokes < 1:
        raise ValueError("there must be at least one stroke")
    _check(stroke_m3=stroke_m3, barometer_pa=barometer_pa, rise_pa=rise_pa)
    volume = strokes * stroke_m3.value * barometer_pa.value / rise_pa.value
    return Uncertain(volume, volume * math.hypot(*(each.u / each.value for each in (stroke_m3, barometer_pa, rise_pa))))


def volume_by_reference(
    reference_m3: Uncertain, reference_gauge_pa: Uncertain, common_gauge_pa: Uncertain
) -> Uncertain:
    """Return the volume of a loop from a known volume under pressure that is opened into it.

    Parameters
    ----------
    reference_m3
        Known volume, above 0 [m3].
    reference_gauge_pa
        Gauge pressure in it before, above common_gauge_pa [Pa].
    common_gauge_pa
        Gauge pressure of both together afterwards, above 0 [Pa].

    Returns
    -------
    Uncertain
        Volume of the loop, and its standard uncertainty [m3].

    Raises
    ------
    ValueError
        If a value is not a finite number above 0, an uncertainty is negative, or the pressure did not fall.

    Notes
    -----
    V = V_R·(p_R/p_f − 1). Gauge pressures are enough, since the loop starts at the pressure of the room; all at one
    temperature. Best with p_R/p_f between 2 and 4. Uncertainties are independent and of first order.

    Source: Boyle's law, the algebra of gas pycnometry (ISO 12154); JCGM 100:2008, 5.1.2 for the uncertainty.

    Examples
    --------
    Hand calculation: half a litre at 800 mbar that falls to 200 mbar fills four times its volume, itself included.

    >>> v = volume_by_reference(Uncertain(0.5e-3), Uncertain(80_000), Uncertain(20_000))
    >>> f"{v.value * 1e3:.4f}"
    '1.5000'
    """
    _check(reference_m3=reference_m3, reference_gauge_pa=reference_gauge_pa, common_gauge_pa=common_gauge_pa)
    require.positive(fall_pa=reference_gauge_pa.value - common_gauge_pa.value)
    ratio = reference_gauge_pa.value / common_gauge_pa.value
    u = math.hypot(
        (ratio - 1) * reference_m3.u,
        reference_m3.value / common_gauge_pa.value * reference_gauge_pa.u,
        reference_m3.value * ratio / common_gauge_pa.value * common_gauge_pa.u,
    )
    return Uncertain(reference_m3.value * (ratio - 1), u)


def _check(**values: Uncertain) -> None:
    """Refuse values that are not above 0 and uncertainties that are negative."""
    for name, (value, u) in values.items():
        require.positive(**{name: value})
        require.not_negative(**{f"u_{name}": u})
