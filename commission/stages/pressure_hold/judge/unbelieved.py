"""Falls that only the instruments explain, and falls before the judged part that nothing explains."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.quantity import Amount, Phrase, Quantity
from commission.physics.gas import pressure_change
from commission.physics.leak import leak_rate
from commission.stages.pressure_hold.judge.part import select
from commission.stages.pressure_hold.judge.settled import bend_floor, find_mildest
from commission.stages.pressure_hold.judge.variants import variants

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.settled import Settled

COOLING_K = 3.0
"""The air around a loop may cool by this much at once [K]; our choice: a window is opened in winter."""
AT_ONCE_S = 1800.0
"""In a shorter time only the square of its share of what may come at once is believed, and nothing of what is beyond
[s]; our choice: in a hold of a few minutes the whole would be several times what a leak at the limit loses, and half an
hour is soon held again."""
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
    upper
        Upper bound of the leak rate, with all that the instruments explain taken out [Pa·m3/s].

    Returns
    -------
    Phrase or None
        The reason; None where the pass would stand without what goes beyond belief.

    Notes
    -----
    Asked of the judged part and of the whole hold. Largest fall of the air beyond 3 K + 3 K/h, as if that had been lost
    through a leak; and the whole of the largest rise of the barometer where it is beyond 6 hPa + 6 hPa/h: a barometer
    that shows no weather is not believed at all. In less than half an hour less of the 3 K and 6 hPa is.
    A thermometer on a part that cools down, or a wrong barometer, makes a leak look tight; the other way round they
    only make a tight loop look leaking.
    """
    part, line = settled.part, settled.fitted[0].line
    setup = part.setup
    before_s = float(part.seen.elapsed_s[part.begin]) - part.seen.first_s if part.begin else 0.0
    for begin, span_s in ((part.begin, part.span_s), (0, before_s + part.span_s)):
        cooled, rose = _cooled_k(settled, begin), _rose_pa(settled, begin)
        believed_k = _believed(COOLING_K, COOLING_K_PER_H, span_s)
        beyond_k = 0.0 if cooled <= believed_k else cooled - (believed_k if span_s >= AT_ONCE_S else 0.0)
        by_air = pressure_change(line.start_pa, setup.reference_k, beyond_k)
        by_weather = rose if rose > _believed(SQUALL_PA, STORM_PA_PER_H, span_s) else 0.0
        if upper + leak_rate(setup.volume_m3, by_air + by_weather, span_s) > setup.limit_pa_m3_s:
            return _cooled_too_fast(cooled) if by_air >= by_weather else _rose_too_fast(rose)
    return None


def _believed(at_once: float, per_h: float, span_s: float) -> float:
    return at_once * min(1.0, span_s / AT_ONCE_S) ** 2 + per_h * span_s / 3600.0


def _cooled_too_fast(cooled_k: float) -> Phrase:
    return Phrase(
        "air_explains_too_much",
        "Only a fall of the air by {0} explains the gauge, and no room cools so fast. Hang the thermometer at the "
        "loop, away from warm parts, wait until both are steady, and hold again.",
        (Amount(Quantity.TEMPERATURE_DIFFERENCE, cooled_k),),
    )


def _rose_too_fast(rose_pa: float) -> Phrase:
    return Phrase(
        "barometer_explains_too_much",
        "Only a rise of the barometer by {0} explains the gauge, and no weather turns so fast. Check the barometer "
        "and hold again.",
        (Amount(Quantity.PRESSURE_DIFFERENCE, rose_pa),),
    )


def _cooled_k(settled: Settled, begin: int) -> float:
    """Return the largest fall of the air from a reading on [K]."""
    import numpy as np

    seen = settled.part.seen
    if not seen.air_known:
        return 0.0
    air = seen.air_k[begin : settled.part.end]
    return float((np.maximum.accumulate(air) - air).max())


def _rose_pa(settled: Settled, begin: int) -> float:
    """Return the largest rise of the barometer from a reading on, where it plays a part [Pa]."""
    import numpy as np

    seen = settled.part.seen
    if settled.part.setup.absolute or seen.barometer_readings < 2:
        return 0.0
    weather = seen.barometer_pa[begin : settled.part.end]
    return float((weather - np.minimum.accumulate(weather)).max())


DEEPEST_SETTLING = 0.1
"""A pass needs that no more of the first gauge pressure fell while it settled [1]; our choice: air that was pumped up
by half an atmosphere and is still 10 K warmer than the room loses a tenth of that half; soft tube gives way less."""


def fall_left_out(settled: Settled) -> float:
    """Return how far the compensated pressure fell in the time that is not judged.

    Returns
    -------
    float
        From the first reading to the first that is judged; 0 where nothing was left out [Pa].
    """
    part = settled.part
    if part.begin == 0:
        return 0.0
    track = settled.fitted[0].compensated_pa
    return float(track[0] - track[part.begin])


def told_fall(settled: Settled) -> list[Phrase]:
    """Tell the fall in the time left out, where the gauge showed one."""
    step_pa, fell = settled.part.setup.gauge_step_pa, fall_left_out(settled)
    if fell < step_pa:
        return []
    fell = round(fell / step_pa) * step_pa  # the gauge showed no more than that
    why = "as stated" if settled.part.setup.settle_s else "since it was still settling"
    return [
        Phrase(
            "fall_left_out",
            f"In the first {{0}}, left out {why}, the pressure fell by {{1}}.",
            (Amount(Quantity.DURATION, settled.cut_s), Amount(Quantity.PRESSURE_DIFFERENCE, fell)),
        )
    ]


def left_out_unexplained(settled: Settled) -> Phrase | None:
    """Say that more fell in a long time left out than a settling explains, and that too little was judged after it.

    Returns
    -------
    Phrase or None
        The reason against a pass; None where as long was judged as was left out, or the fall is explained.

    Notes
    -----
    Explained is a leak as it was judged, going on all that time, what instruments and room may differ by, and the
    settling that all the readings show where it was over within the time stated, as if that time had been found and
    not typed. With too few readings to see a settling none is explained. Our choice: whoever leaves out more than is
    judged sets most of the evidence aside, and a leak that stops on its own (a seal that seats, a droplet that plugs a
    hole) is told from a settling only by its shape, or by a flat time as long.
    """
    part = settled.part
    fell = fall_left_out(settled)
    if not part.setup.settle_s:
        return _too_deep(settled, fell)
    if fell <= 0 or part.span_s >= settled.cut_s:
        return None
    if fell <= _explained(settled):
        return None
    return Phrase(
        "left_out_unexplained",
        "It fell by {0} in the {1} left out, more than settling explains, and only {2} were judged after it. Judge at "
        "least as long as is left out.",
        (
            Amount(Quantity.PRESSURE_DIFFERENCE, fell),
            Amount(Quantity.DURATION, settled.cut_s),
            Amount(Quantity.DURATION, part.span_s),
        ),
    )


def _too_deep(settled: Settled, fell_pa: float) -> Phrase | None:
    """Say that more fell while the pressure settled than gas that cools and tube that gives way make it fall."""
    start_pa = float(settled.part.seen.gauge_pa[0])
    if fell_pa <= DEEPEST_SETTLING * start_pa:
        return None
    return Phrase(
        "settling_too_deep",
        (
            "It fell by {0} of {1} before it stood still: more than settling. Something let "
            "go and sealed itself, or it was vented. Check the loop, pump up, and hold again."
        ),
        (Amount(Quantity.PRESSURE_DIFFERENCE, fell_pa), Amount(Quantity.GAUGE_PRESSURE, start_pa)),
    )


def _explained(settled: Settled) -> float:
    """Return how far the judged rate, the settling and the instruments explain a fall in the time left out [Pa]."""
    seen, setup = settled.part.seen, settled.part.setup
    cut_s = settled.cut_s
    whole = select(seen, setup, 0.0)
    fitted = variants(whole)
    went_on = max(0.0, *(one.line.drop_pa / one.line.span_s for one in settled.fitted)) * cut_s
    explained = went_on + bend_floor(whole, fitted)
    found = find_mildest(whole, fitted)
    if found is not None and found.cut_s <= cut_s:
        explained += max(0.0, found.amplitude_pa * -math.expm1(-cut_s / found.time_constant_s))
    return explained
