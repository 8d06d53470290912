"""A fall that only the instruments explain: no room cools and no weather turns as fast as some readings say."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Amount, Phrase, Quantity
from commission.physics.gas import pressure_change
from commission.physics.leak import leak_rate

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.settled import Settled

COOLING_K = 3.0
"""The air around a loop may cool by this much at once [K]; our choice: a window is opened in winter."""
COOLING_K_PER_H = 3.0
"""And by this much more in each hour [K/h]; our choice: a room whose heating is off loses less."""
SQUALL_PA = 600.0
"""The barometer may rise by this much at once [Pa]; our choice: a thunderstorm moves it by a few hectopascals."""
STORM_PA_PER_H = 600.0
"""And by this much more in each hour [Pa/h]; our choice: the fastest storms keep to a few hectopascals an hour."""


def explained_away(settled: Settled, upper: float) -> Phrase | None:
    """Say that a pass rests on a change of the air or the barometer that is hard to believe.

    Parameters
    ----------
    settled
        The judged part with its fits.
    upper
        Upper bound of the leak rate, with all that the instruments explain taken out [Pa·m3/s].

    Returns
    -------
    Phrase or None
        The reason; None where the pass would stand without what goes beyond belief.

    Raises
    ------
    ZeroDivisionError
        If the judged part has no length.

    Notes
    -----
    Largest fall of the air in the judged part beyond 3 K + 3 K/h, as if that had been lost through a leak; and the
    whole of the largest rise of the barometer where it is beyond 6 hPa + 6 hPa/h: a barometer that shows no weather is
    not believed at all. A thermometer on a part that cools down, or a wrong barometer, makes a leak look tight; the
    other way round they only make a tight loop look leaking.
    """
    part, line = settled.part, settled.fitted[0].line
    setup, hours = part.setup, part.span_s / 3600.0
    cooled, rose = _cooled_k(settled), _rose_pa(settled)
    beyond_k = max(0.0, cooled - COOLING_K - COOLING_K_PER_H * hours)
    by_air = pressure_change(line.start_pa, setup.reference_k, beyond_k)
    by_weather = rose if rose > SQUALL_PA + STORM_PA_PER_H * hours else 0.0
    if upper + leak_rate(setup.volume_m3, by_air + by_weather, part.span_s) <= setup.limit_pa_m3_s:
        return None
    if by_air >= by_weather:
        return Phrase(
            "air_explains_too_much",
            "Only a fall of the air by {0} explains the gauge, and no room cools so fast. Hang the thermometer at the "
            "loop, away from warm parts, wait until both are steady, and hold again.",
            (Amount(Quantity.TEMPERATURE_DIFFERENCE, cooled),),
        )
    return Phrase(
        "barometer_explains_too_much",
        "Only a rise of the barometer by {0} explains the gauge, and no weather turns so fast. Check the barometer "
        "and hold again.",
        (Amount(Quantity.PRESSURE_DIFFERENCE, rose),),
    )


def _cooled_k(settled: Settled) -> float:
    """Return the largest fall of the air in the judged part [K]."""
    import numpy as np

    seen = settled.part.seen
    if not seen.air_known:
        return 0.0
    air = seen.air_k[settled.part.begin : settled.part.end]
    return float((np.maximum.accumulate(air) - air).max())


def _rose_pa(settled: Settled) -> float:
    """Return the largest rise of the barometer in the judged part, where it plays a part [Pa]."""
    import numpy as np

    seen = settled.part.seen
    if settled.part.setup.absolute or seen.barometer_readings < 2:
        return 0.0
    weather = seen.barometer_pa[settled.part.begin : settled.part.end]
    return float((weather - np.minimum.accumulate(weather)).max())
