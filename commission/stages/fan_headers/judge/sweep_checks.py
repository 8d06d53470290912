"""What else a sweep shows: whether both ways agree, whether it repeats, how it compares with label and standard."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase
from commission.physics.pwm_fan import CURVE_POINTS, LOWEST_SHARE, curve_deviation
from commission.record.machine.seats import SLOW_PLATE, SLOWEST_PUMP_RPM, Drive
from commission.stages.fan_headers.judge.sweep_levels import Level, noise_of, standard_error
from commission.stages.fan_headers.judge.sweep_word import ERRATIC_CV, cv_of
from commission.stages.fan_headers.model.sweep import FULL_PCT, Direction, Rotation

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.stages.fan_headers.judge.sweep_levels import Visit
    from commission.stages.fan_headers.judge.sweep_word import Seen
    from commission.stages.fan_headers.model.sweep import Stops, Sweep, SweepSetup

CHOPPED_CV = 0.02
"""Scatter at full duty up to which a restless tach at part duty points to a chopped supply [1]; our choice: a tach
that is fed without breaks scatters less."""
HALF_PLATE = (0.4, 0.6)
"""Speed over nameplate that points to one pulse a turn read as two [1]; our choice: a half, and a fifth either way as
nameplates go."""
TWICE_PLATE = (1.6, 2.4)
"""Speed over nameplate that points to a wrong number of pulses or two tachs [1]; our choice: double, and a fifth
either way as nameplates go."""


class Agreement(Frozen):
    """Whether a sweep agrees with itself."""

    within_rpm: float
    """Differences up to this are fine [rpm]."""
    hysteresis_rpm: float | None
    """Largest difference between way down and way up [rpm]; None without both."""
    repeat_rpm: float | None
    """Difference at full duty between end and start [rpm]; None without both."""

    @property
    def repeats(self) -> bool:
        """Whether full speed came back; also where nobody asked."""
        return self.repeat_rpm is None or self.repeat_rpm <= self.within_rpm


def agreement_of(seen: Seen, step_rpm: float = 1.0) -> Agreement:
    """Compare the way down with the way up, and the end with the start; the display's step is 0 or more [rpm].

    Limit: 3 % of full speed, or three standard errors of a difference where that is more; their noise is the one
    within a visit, since a difference of the ways must not excuse itself. Only duties that ran on both are compared.

    Examples
    --------
    >>> from commission.stages.fan_headers.model.sweep import Sweep, SweepReading, SweepSetup
    >>> from commission.stages.fan_headers.judge.sweep_word import seen_of
    >>> rows = [(100, 1500), (60, 905), (30, 450), (60, 898), (100, 1490)]
    >>> seen = seen_of(Sweep(readings=tuple(SweepReading(duty_pct=d, rpm=n) for d, n in rows)), SweepSetup())
    >>> agreement_of(seen)
    Agreement(within_rpm=44.85, hysteresis_rpm=7, repeat_rpm=10)
    """
    full = seen.full_rpm or 0.0
    alone = _alone(seen.visits)
    ways: dict[Direction, dict[float, float]] = {Direction.DOWN: {}, Direction.UP: {}}
    for visit in seen.visits:
        if visit.median and visit.direction in ways and visit.duty_pct != FULL_PCT:
            ways[visit.direction][visit.duty_pct] = visit.median
    down, up = ways[Direction.DOWN], ways[Direction.UP]
    at_full = [visit.median for visit in seen.visits if visit.duty_pct == FULL_PCT and visit.median is not None]
    return Agreement(
        within_rpm=max(0.03 * full, 3 * math.sqrt(2) * standard_error(alone, noise_of(alone, step_rpm))),
        hysteresis_rpm=max((abs(down[duty] - up[duty]) for duty in down.keys() & up.keys()), default=None),
        repeat_rpm=abs(at_full[-1] - at_full[0]) if len(at_full) > 1 else None,
    )


def _alone(visits: Sequence[Visit]) -> list[Level]:
    """Return each visit as a level of its own."""
    return [Level(duty_pct=visit.duty_pct, visits=(visit,)) for visit in visits if visit.rpm]


def curve_points(seen: Seen, setup: SweepSetup) -> float | None:
    """Return how far a curve is above the fan's floor from the straight one of the 4-wire specification [%].

    None for other fans or modes. Levels that stand still, and all but the highest of those that share the lowest rank,
    are below the floor.

    Source: Intel 4-wire specification rev 1.3, p. 14: within 10.

    Examples
    --------
    >>> from commission.stages.fan_headers.model.sweep import Sweep, SweepReading, SweepSetup
    >>> from commission.stages.fan_headers.judge.sweep_word import seen_of
    >>> rows = [(30, 750), (40, 750), (50, 750), (80, 1200), (100, 1500)]
    >>> setup = SweepSetup(wires=4, mode=Drive.PWM)
    >>> curve_points(seen_of(Sweep(readings=tuple(SweepReading(duty_pct=d, rpm=n) for d, n in rows)), setup), setup)
    0.0
    """
    if setup.wires != 4 or setup.mode is not Drive.PWM or not seen.full_rpm or seen.trend is None:
        return None
    ranked = [pair for pair in zip(seen.levels, seen.trend.ranks, strict=True) if pair[0].median > 0]
    floor = [level for level, rank in ranked if rank == ranked[0][1]]
    above = [level for level, _ in ranked if level not in floor[:-1]]
    return curve_deviation([level.duty_pct for level in above], [level.median for level in above], seen.full_rpm)


def findings_of(
    seen: Seen, setup: SweepSetup, stops: Stops, agreement: Agreement, points: float | None = None
) -> tuple[Phrase, ...]:
    """Return what else was seen, each a sentence; none of them changes the word.

    ``points`` is how far the curve is from the straight one [%]; None where that does not apply.

    Examples
    --------
    >>> from commission.stages.fan_headers.model.sweep import Sweep, SweepReading, SweepSetup
    >>> from commission.stages.fan_headers.judge.sweep_stops import stops_of
    >>> from commission.stages.fan_headers.judge.sweep_word import seen_of
    >>> setup = SweepSetup(nameplate_rpm=4800)
    >>> seen = seen_of(Sweep(readings=(SweepReading(duty_pct=100, rpm=2400),)), setup)
    >>> [f.code for f in findings_of(seen, setup, stops_of(seen.visits), agreement_of(seen))]
    ['half_the_nameplate']
    """
    found = [
        *_against_nameplate(seen, setup),
        *_both_ways(agreement),
        *_standstill(stops, setup),
        *_restless(seen),
    ]
    if points is not None and points > CURVE_POINTS:
        found.append(
            Phrase(
                "curve_beyond_specification",
                f"The curve is {points:.0f} points off the straight one; the 4-wire specification allows 10.",
            )
        )
    if setup.fans > 1 and seen.top_rpm > 0:
        found.append(
            Phrase(
                "others_unseen",
                (
                    f"1 of {setup.fans} devices reports: see that the others turn. Connect pin 3 on "
                    "one branch only, so that one tach is on the line."
                ),
            )
        )
    return tuple(found)


def left_open(seen: Seen, sweep: Sweep, setup: SweepSetup) -> Phrase | None:
    """Return what keeps a sweep from a pass though its speeds would give one; None where nothing does.

    Source: none; our choice. A pump may stand just where its tach said nothing, and a tach that shows speed where
    nothing turns is another chain's.
    """
    slow = slow_for_nameplate(seen, setup)
    if slow is not None:
        return slow
    if sweep.rotation is Rotation.NOT_SEEN and all(visit.median for visit in seen.visits):
        said = (
            "Somebody saw that nothing turns, and the tach shows a speed at every duty: it may be another chain's. "
            "Look again which chain sits here, and sweep again."
        )
        return Phrase("stands_and_turns", said)
    unread = dict.fromkeys(f"{visit.duty_pct:g} %" for visit in seen.visits if not visit.rpm)
    if setup.pump and unread:
        said = f"Nothing was read at {', '.join(unread)}: just there the pump may stand. Read that again."
        return Phrase("pump_unread", said)
    once = dict.fromkeys(f"{visit.duty_pct:g} %" for visit in seen.visits if 0.0 in visit.rpm)
    if setup.pump and once:
        said = f"The pump read 0 among its samples at {', '.join(once)}: it may stand there. Read that again."
        return Phrase("pump_stood_once", said)
    slowest = min((rpm for visit in seen.visits for rpm in visit.rpm), default=0.0)
    if setup.pump and slowest < SLOWEST_PUMP_RPM:
        said = f"The pump read {slowest:g} rpm; below {SLOWEST_PUMP_RPM:g} it only twitches. Look whether it turns."
        return Phrase("pump_twitches", said)
    return None


def slow_for_nameplate(seen: Seen, setup: SweepSetup) -> Phrase | None:
    """Say that a chain is far slower at full duty than its nameplate: something else holds it back, or it is another.

    None where nothing is known, or it is quick enough.
    """
    if not seen.full_rpm or not setup.nameplate_rpm or seen.full_rpm >= SLOW_PLATE * setup.nameplate_rpm:
        return None
    ratio, plate = seen.full_rpm / setup.nameplate_rpm, setup.nameplate_rpm
    said = (
        f"At full duty it shows {seen.full_rpm:.0f} rpm, {ratio:.2f} of the nameplate's "
        f"{plate:.0f} rpm: firmware, a wrong voltage or a block holds it back. Fix that, "
        "then sweep again."
    )
    return Phrase("slow_for_nameplate", said)


def _against_nameplate(seen: Seen, setup: SweepSetup) -> list[Phrase]:
    if not seen.full_rpm or not setup.nameplate_rpm:
        return []
    ratio = seen.full_rpm / setup.nameplate_rpm
    of = f"At full duty it shows {seen.full_rpm:.0f} rpm, {ratio:.2f} of the nameplate's {setup.nameplate_rpm:.0f} rpm"
    if HALF_PLATE[0] <= ratio <= HALF_PLATE[1]:
        said = f"{of}: the pulses setting, or a pump with one pulse a turn. The fan itself is fine."
        return [Phrase("half_the_nameplate", said)]
    if TWICE_PLATE[0] <= ratio <= TWICE_PLATE[1]:
        said = f"{of}: the pulses setting, or two tachs with narrow pulses on one line. Both are possible."
        return [Phrase("twice_the_nameplate", said)]
    return []


WAYS_DIFFER = "ways_differ"
"""Code of the finding that the way down and the way up tell other speeds."""


def _both_ways(agreement: Agreement) -> list[Phrase]:
    found = []
    limit = f"the limit is {agreement.within_rpm:.0f} rpm"
    if not agreement.repeats:
        found.append(
            Phrase(
                "not_repeatable",
                f"Full speed differs by {agreement.repeat_rpm:.0f} rpm between start and end; {limit}: not settled, or "
                "not repeatable.",
            )
        )
    if agreement.hysteresis_rpm is not None and agreement.hysteresis_rpm > agreement.within_rpm:
        found.append(
            Phrase(
                WAYS_DIFFER,
                f"Way down and way up differ by {agreement.hysteresis_rpm:.0f} rpm; {limit}: wait longer at each "
                "level, or a speed is mistyped.",
            )
        )
    return found


def _standstill(stops: Stops, setup: SweepSetup) -> list[Phrase]:
    found = []
    voltage_known = setup.mode is Drive.VOLTAGE
    if stops.stop_pct is not None and stops.stop_pct > 100 * LOWEST_SHARE and not voltage_known:
        found.append(
            Phrase(
                "voltage_drive_suspected",
                f"It stops at {stops.stop_pct:g} %, where a 4-wire fan under PWM must run: voltage drive is suspected. "
                "Only a second sweep in the header's other mode confirms it.",
            )
        )
    if stops.starts_later:
        found.append(
            Phrase(
                "starts_above_stop",
                f"It needs {stops.start_pct:g} % to start and less to keep running"
                + (": typical under voltage drive." if voltage_known else ": voltage drive is suspected."),
            )
        )
    return found


def _restless(seen: Seen) -> list[Phrase]:
    if seen.full_cv is None or seen.full_cv > CHOPPED_CV:
        return []
    part = [level.duty_pct for level in seen.running if level.duty_pct < FULL_PCT and (cv_of(level) or 0) > ERRATIC_CV]
    if not part:
        return []
    duties = ", ".join(f"{duty:g} %" for duty in part)
    said = f"The tach is steady at full duty and restless at {duties}: it may lose its supply between pulses of a "
    return [Phrase("tach_chopped", said + "chopped supply.")]
