"""Jumps of the pressure in the middle of a hold: pumped again, touched, or let down."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.quantity import Amount, Phrase, Quantity
from commission.physics.gas import pressure_sensitivity
from commission.stages.pressure_hold.judge.terms import weather_swing_pa

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.series import Columns, Floats
    from commission.stages.pressure_hold.model import HoldSetup

DENSE = 40
"""From this many readings on jumps are looked for in runs of readings, below between neighbours [1]; our choice: runs
of ten readings, four at least."""


SHARP_STEPS = 4.0
"""A rise from one reading to the next is sharp from this many steps on [1]; our choice: a display that flickers by one
step, one standard deviation, does so once in 400 readings."""

SHARP_STEPS_DENSE = 6.0
"""The same from ``MANY`` readings on [1]; our choice: flicker does so once in 90,000 readings."""

MANY = 100
"""From this many readings on flicker alone makes a rise of four steps [1]; our choice: see there."""

SHARP_PA = 20.0
"""Smaller rises are never sharp [Pa]; our choice: hands and doors move the air by as much."""

FED_SHARE = 0.5
"""Sharp rises are refused that make up for this share of the fall at the limit [1]; our choice: with less, a loop that
leaks at twice the limit still fails."""

SWING_S = 2700.0
"""Within this time a room warms the loop once by its whole swing [s]; our choice: a heating that goes on and off."""

SWING_STEPS = 5.0
"""A rise over some readings counts from this many steps on, and so does the fall that ends it [1]; our choice: of a
hundred readings that flicker by one step the highest lies five above the lowest."""

CLOSE_SHARE = 0.25
"""Readings this share of the longest gap apart, or less, are close together [1]; our choice: what was read so says more
of a leak than the gap, in which anything may have been done."""

CLOSE_FALL = 1.2
"""A fall between close readings beyond this many times that at the limit speaks of a leak [1]; our choice: a fifth for
what room and flicker add to a leak at the limit."""

BLOCKS = 60
"""A long log is looked at in this many blocks at least [1]; our choice: in an hour a stroke of two minutes shows."""


class _Track(Frozen):
    """The judged part of a hold."""

    times: Floats
    gauge: Floats
    inside: Floats


def find_jump(seen: Columns, setup: HoldSetup, compensated_pa: Floats, begin: int = 0) -> Phrase | None:
    """Refuse a hold with a jump that no leak makes.

    Parameters
    ----------
    compensated_pa
        Pressure compensated with the air temperature as read, shape (m,) [Pa].
    begin
        First bin of the judged part; what came before does not matter [1].

    Notes
    -----
    A jump must show in the gauge itself and in the compensated pressure: a sudden change of the air shows only in
    the second, slow weather in neither. Up is refused from 1.6 steps and 6 standard deviations on, down only where
    the pressure stood still before and, where enough was read, after.
    """
    track = _Track(times=seen.elapsed_s[begin:], gauge=seen.gauge_pa[begin:], inside=compensated_pa[begin:])
    if track.times.size < DENSE:
        return _sparse(track, seen, setup) or _fed(track, setup) or _fed_in_the_gaps(track, setup)
    run = 3 if track.times.size < MANY else 5
    step_pa = setup.gauge_step_pa
    return (
        _pumped_again(track, step_pa, run)
        or _let_down(track, step_pa, run)
        or _fed(track, setup)
        or _fed_slowly(track, seen, setup)
    )


def _fed(track: _Track, setup: HoldSetup) -> Phrase | None:
    """Refuse many sharp rises, none on either side: each is small beside the scatter that they make themselves.

    A source that feeds in strokes below the flicker of the display is not told from it: so it is asked how it is off.
    """
    import numpy as np

    if track.times.size < 3:
        return None
    gauge, inside = np.diff(track.gauge), np.diff(track.inside)
    up = np.minimum(gauge, inside)
    beside = np.concatenate(([0.0], gauge, [0.0]))
    alone = np.maximum(beside[:-2], beside[2:]) <= up / 4
    steps = SHARP_STEPS if track.times.size < MANY else SHARP_STEPS_DENSE
    sharp = up[alone & (up > max(steps * setup.gauge_step_pa, SHARP_PA))]
    at_limit = setup.limit_pa_m3_s * float(track.times[-1] - track.times[0]) / setup.volume_m3
    return None if sharp.size < 2 or float(sharp.sum()) < FED_SHARE * at_limit else _pumped_often(sharp)


def _fed_slowly(track: _Track, seen: Columns, setup: HoldSetup) -> Phrase | None:
    """Refuse rises over some readings each, with falls between, that in all are more than the room and weather make.

    A long log is looked at in blocks, so that the flicker of its readings makes no rise.
    """
    import numpy as np

    size = track.times.size // BLOCKS or 1
    whole = track.times.size // size * size
    gauge, inside = (values[:whole].reshape(-1, size).mean(axis=1) for values in (track.gauge, track.inside))
    least = max(SWING_STEPS * setup.gauge_step_pa, SHARP_PA)
    up = np.array([min(gauge[b] - gauge[a], inside[b] - inside[a]) for a, b in _rises(gauge, least)])
    up = up[up >= least]
    span_s = float(track.times[-1] - track.times[0])
    at_limit = setup.limit_pa_m3_s * span_s / setup.volume_m3
    most = max(_room_makes(track, seen, setup, span_s), FED_SHARE * at_limit)
    return None if up.size < 2 or float(up.sum()) < most else _pumped_often(up)


def _fed_in_the_gaps(track: _Track, setup: HoldSetup) -> Phrase | None:
    """Refuse a row that falls between its close readings as a leak above the limit does, and less over its gaps."""
    import numpy as np

    gaps = np.diff(track.times)
    close = gaps <= CLOSE_SHARE * gaps.max()
    if not close.any():
        return None
    close_s, span_s = float(gaps[close].sum()), float(gaps.sum())
    fell, in_all = float(-np.diff(track.inside)[close].sum()), float(track.inside[0] - track.inside[-1])
    fell = min(fell, float(-np.diff(track.gauge)[close].sum()))
    per_k = pressure_sensitivity(float(track.inside.mean()), setup.reference_k)
    room = per_k * setup.room_swing_k * min(1.0, close_s / SWING_S)
    least = max(SWING_STEPS * setup.gauge_step_pa, SHARP_PA) + room
    at_limit = setup.limit_pa_m3_s * close_s / setup.volume_m3
    if fell < max(least, CLOSE_FALL * at_limit) or in_all / span_s > fell / close_s / 2:
        return None
    return Phrase(
        "fed_in_the_gaps",
        "Between readings close together it fell by {0} in all, over the gaps far less: something fed the loop "
        "there. Hold again, and read evenly.",
        (Amount(Quantity.PRESSURE_DIFFERENCE, fell),),
    )


def _rises(values: Floats, least: float) -> list[tuple[int, int]]:
    """Return where each rise begins and ends between falls; what turns by less than the least is no turn."""
    found: list[tuple[int, int]] = []
    low = high = 0
    for at in range(1, values.size):
        if values[at] > values[high]:
            high = at
        if values[high] - values[at] >= least:
            found.append((low, high))
            low = high = at
        elif values[at] < values[low]:
            low = high = at
    return [*found, (low, high)]


def _room_makes(track: _Track, seen: Columns, setup: HoldSetup, span_s: float) -> float:
    """Return what instruments, room and weather may let the pressure rise by over a time, in all [Pa]."""
    return (_explained(track, seen, setup) + _weather(seen, setup, span_s)) * (1 + span_s / SWING_S)


def _explained(track: _Track, seen: Columns, setup: HoldSetup) -> float:
    """Return by how much display and room may let one reading lie above another [Pa]."""
    per_k = pressure_sensitivity(float(track.inside.mean()), setup.reference_k)
    unseen = setup.room_swing_k * (0.6 if seen.air_known else 1.0)
    return 3 * setup.gauge_step_pa + 1.5 * per_k * unseen


def _pumped_often(sharp: Floats) -> Phrase:
    """Say that the pressure went up again and again."""
    return Phrase(
        "pressure_fed",
        (
            f"The pressure went up {sharp.size} times, by {{0}} in all, and fell between: "
            "something fed the loop, or the gauge scatters. Take the hose off, start a new "
            "hold."
        ),
        (Amount(Quantity.PRESSURE_DIFFERENCE, float(sharp.sum())),),
    )


def _jumps(values: Floats, run: int) -> Floats:
    """Return, between neighbouring bins, the median of the run after minus that of the run before."""
    import numpy as np

    windows = np.lib.stride_tricks.sliding_window_view(values, run)
    middle = np.median(windows, axis=1)
    result: Floats = middle[run:] - middle[:-run]
    return result


def _spread(jumps: Floats) -> tuple[float, float]:
    """Return the usual jump and a robust standard deviation, from the side where no event is looked for."""
    import numpy as np

    usual = float(np.median(jumps))
    near = 1.4826 * float(np.median(np.abs(jumps - usual)))
    # half of the jumps of a display that flickers are 0, so the middle alone would see no scatter
    far = (usual - float(np.quantile(jumps, 0.05))) / 1.645
    return usual, max(near, far)


def _pumped_again(track: _Track, step_pa: float, run: int) -> Phrase | None:
    """Refuse a jump upwards."""
    import numpy as np

    gauge, inside = _jumps(track.gauge, run), _jumps(track.inside, run)
    least = max(1.6 * step_pa, 20.0)
    both = np.minimum(gauge, inside)
    at = int(np.argmax(both))
    for jumps in (gauge, inside):
        usual, sd = _spread(jumps)
        if jumps[at] - max(usual, 0.0) < max(6 * sd, least):
            return None
    return _pumped(float(both[at]), float(track.times[at + run]))


def _pumped(height: float, at: float) -> Phrase:
    """Say that the pressure went up."""
    return Phrase(
        "pressure_stepped_up",
        "The pressure went up by {0} at {1}: it was pumped again or the source opened. Start a new hold.",
        (Amount(Quantity.PRESSURE_DIFFERENCE, height), Amount(Quantity.DURATION, at)),
    )


def _sparse(track: _Track, seen: Columns, setup: HoldSetup) -> Phrase | None:
    """Refuse a rise from one reading to the next that neither instruments nor the room explain."""
    import numpy as np

    step, known = setup.gauge_step_pa, _explained(track, seen, setup)
    least = np.array([max(5 * step, known + _weather(seen, setup, float(gap))) for gap in np.diff(track.times)])
    up = np.minimum(np.diff(track.inside), np.diff(track.gauge))
    at = int(np.argmax(up - least))
    if up[at] >= least[at]:
        return _pumped(float(up[at]), float(track.times[at + 1]))
    span_s = float(track.times[-1] - track.times[0])
    sharp = up[up > max(SHARP_STEPS * step, SHARP_PA)]
    most = _room_makes(track, seen, setup, span_s)
    # what rises from end to end is told as such
    rose = bool(track.inside[-1] > track.inside[0])
    return None if rose or sharp.size < 2 or float(sharp.sum()) < most else _pumped_often(sharp)


def _weather(seen: Columns, setup: HoldSetup, gap_s: float) -> float:
    """Return how far the gauge may move with the barometer between two readings, where nobody read that [Pa]."""
    if setup.absolute or seen.barometer_readings >= 2:
        return 0.0
    return weather_swing_pa(gap_s) if setup.barometer_swing_pa is None else setup.barometer_swing_pa


def _let_down(track: _Track, step_pa: float, run: int) -> Phrase | None:
    """Refuse a fall at once with stillness before and after."""
    import numpy as np

    inside = track.inside
    falls = -_jumps(inside, run)
    first = max(run, falls.size // 20)
    at = first + int(np.argmax(falls[first:]))
    height = float(falls[at])
    usual, sd = _spread(falls)
    if height - usual < max(8 * sd, 3 * step_pa, 100.0):
        return None
    before = float(inside[0] - inside[at])
    after = float(inside[min(at + 2 * run, inside.size - 1)] - inside[-1])
    if abs(before) + abs(after) > 0.25 * height:
        return None
    # the medians place the fall to within a run; stillness after it takes a run of readings
    fell_at = at + run + int(np.argmin(np.diff(inside[at + run - 1 : at + 2 * run])))
    read_on = inside.size - fell_at > run
    return Phrase(
        "pressure_stepped_down",
        (
            "The pressure fell at once by {0} at {1} and stood still before and after: "
            "vented, touched, or a part gave way. Check the loop and start a new hold."
        )
        if read_on
        else (
            "The pressure fell at once by {0} at {1}, too near the end to tell more. It was "
            "vented, touched, or a part gave way. Check the loop and start a new hold."
        ),
        (
            Amount(Quantity.PRESSURE_DIFFERENCE, height),
            Amount(Quantity.DURATION, float(track.times[min(at + run, inside.size - 1)])),
        ),
    )
