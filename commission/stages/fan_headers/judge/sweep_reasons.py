"""The reasons for a word in plain sentences, the one that decided first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Phrase
from commission.record.machine.seats import FAST_PLATE
from commission.stages.fan_headers.judge.sweep_word import ERRATIC_CV, lacking
from commission.stages.fan_headers.model.sweep import SweepWord

if TYPE_CHECKING:
    from commission.stages.fan_headers.judge.sweep_word import Seen
    from commission.stages.fan_headers.model.sweep import Stops, Sweep, SweepSetup

LEAST_P = 1e-9
"""A smaller probability is not told [1]; our choice: nobody sweeps a fan so often."""


def by_chance(p: float) -> str:
    """Return how seldom chance alone gives an order of speeds, given its probability [1].

    >>> by_chance(0.0014)
    'by chance once in 710 sweeps'
    """
    return f"by chance once in {float(f'{1 / max(p, LEAST_P):.2g}'):,.0f} sweeps"


def percent(share: float) -> str:
    """Return a share as text in per cent.

    Parameters
    ----------
    share
        The share [1].

    Returns
    -------
    str
        At most two digits [%].

    Notes
    -----
    For sentences only.

    Examples
    --------
    >>> percent(0.6961), percent(0.0107)
    ('70 %', '1.1 %')
    """
    return f"{float(f'{100 * share:.2g}'):g} %"


def reasons_of(word: SweepWord, seen: Seen, sweep: Sweep, setup: SweepSetup, stops: Stops) -> tuple[Phrase, ...]:
    """Return why a sweep got its word.

    Returns
    -------
    tuple
        Sentences, the deciding one first [words].

    Notes
    -----
    Speeds in rpm and duties in per cent, as everywhere in the trade.

    Examples
    --------
    >>> from commission.stages.fan_headers.model.sweep import Stops, Sweep, SweepSetup
    >>> from commission.stages.fan_headers.judge.sweep_word import seen_of
    >>> sweep = Sweep(readings=())
    >>> reasons_of(SweepWord.INSUFFICIENT, seen_of(sweep, SweepSetup()), sweep, SweepSetup(), Stops())[0].template
    'Add a level at 100 %, with which the others are compared; 4 more levels between 30 % and 100 %.'
    """
    decided = _decided(word, seen, sweep, setup)
    more = [*_stalls(word, stops), *_minimum(word, stops), *_once(word, seen)]
    return (decided, *more)


def _decided(word: SweepWord, seen: Seen, sweep: Sweep, setup: SweepSetup) -> Phrase:
    match word:
        case SweepWord.CONTROLLED | SweepWord.WEAK | SweepWord.INVERTED | SweepWord.IGNORES | SweepWord.INCONCLUSIVE:
            return _by_order(word, seen)
        case SweepWord.INSUFFICIENT:
            return _insufficient(seen)
        case SweepWord.SENSOR_ERROR:
            return _sensor(seen, sweep)
        case SweepWord.ERRATIC:
            return _erratic(seen, setup)
        case SweepWord.NO_TACH:
            return Phrase("turns_without_tach", "It turns, and the tach shows nothing at any duty: no tach signal.")
        case SweepWord.NOT_TURNING:
            return Phrase("stands_at_every_duty", "The tach shows nothing at any duty, and nothing turns.")
        case SweepWord.NO_READING:
            return Phrase("nothing_at_any_duty", "The tach shows nothing at any duty: stopped, no tach, or no plug.")


def _by_order(word: SweepWord, seen: Seen) -> Phrase:
    assert seen.trend is not None  # the word rests on it
    if seen.full_rpm == 0:
        said = "It stands still at full duty and turned at a lower one. Power off, reseat the plug, sweep again."
        return Phrase("stands_at_full_duty", said)
    effect, span = percent(abs(seen.effect or 0.0)), percent(seen.span or 0.0)
    match word:
        case SweepWord.CONTROLLED:
            said = f"Speed rises with duty by {effect}."
            return Phrase("rises_with_duty", said)
        case SweepWord.INVERTED:
            said = f"Speed falls by {effect} while duty rises."
            return Phrase("falls_with_duty", said)
        case SweepWord.IGNORES:
            said = f"Speed changes by {span} over the whole range of duty; a change below 10 % counts as none."
            return Phrase("flat_over_duty", said)
        case SweepWord.WEAK:
            said = (
                f"Speed rises with duty by {effect}: too little for control. "
                "Add levels above the lowest that still changes the speed."
            )
            return Phrase("rises_a_little", said)
        case _:
            said = f"Speed changes by {span}, in no clear order: wait longer at each level, or add levels."
            return Phrase("no_clear_order", said)


def _insufficient(seen: Seen) -> Phrase:
    lacks = lacking(seen)
    if lacks:
        return Phrase("levels_missing", f"Add {'; '.join(lacks)}.")
    empty = [f"{visit.duty_pct:g} %" for visit in seen.visits if not visit.rpm]
    if empty:
        return Phrase("levels_unread", f"Nothing was read at {', '.join(dict.fromkeys(empty))}: read those again.")
    how = "each level was read twice at most" if seen.noise.repeated else "too few levels were read twice"
    said = f"The order is not clear, and {how}. Add three readings at each point, down and up."
    return Phrase("readings_missing", said)


def _sensor(seen: Seen, sweep: Sweep) -> Phrase:
    if seen.lost:
        last = next(visit for visit in reversed(seen.visits) if visit.rpm)
        return Phrase(
            "sensor_lost",
            f"Sensor lost: after {last.duty_pct:g} % nothing more was read. What was read before proves nothing about "
            "the rest.",
        )
    if sweep.fault:
        return Phrase("sensor_fault", "The chip itself says not to trust this channel: its readings do not count.")
    return Phrase("reads_failed", f"{percent(seen.failed)} of the reads failed; up to 20 % may.")


def _erratic(seen: Seen, setup: SweepSetup) -> Phrase:
    if seen.full_cv is not None and seen.full_cv > ERRATIC_CV:
        said = f"At full duty the readings scatter by {percent(seen.full_cv)}; a sound tach stays within 5 %."
        return Phrase("tach_scatters", said)
    plate = setup.nameplate_rpm or 0.0
    said = f"At full duty it shows {seen.full_rpm or 0:.0f} rpm, more than {FAST_PLATE:g} times the {plate:.0f} rpm "
    return Phrase("tach_beyond_nameplate", said + "that its maker states.")


def _stalls(word: SweepWord, stops: Stops) -> list[Phrase]:
    if word not in (SweepWord.CONTROLLED, SweepWord.WEAK) or stops.stop_pct is None or stops.runs_pct is None:
        return []
    said = f"It stalls below {stops.runs_pct:g} %: it stood at {stops.stop_pct:g} % and ran at {stops.runs_pct:g} %."
    return [Phrase("stalls", said)]


def _minimum(word: SweepWord, stops: Stops) -> list[Phrase]:
    if word is not SweepWord.CONTROLLED or stops.minimum_pct is None:
        return []
    least = f"Leave it at {stops.minimum_pct:g} % or more"
    if stops.start_pct is not None:
        return [Phrase("minimum_from_start", f"{least}: it starts at {stops.start_pct:g} %, and one level is kept.")]
    if stops.stop_pct is not None:
        said = f"{least}: from which duty it starts again was not looked for; sweep it upwards to know."
        return [Phrase("minimum_from_stop", said)]
    said = f"{least}: that is the lowest that was read. Whether it starts there from a standstill was not looked for."
    return [Phrase("minimum_as_read", said)]


def _once(word: SweepWord, seen: Seen) -> list[Phrase]:
    told = (SweepWord.CONTROLLED, SweepWord.INVERTED, SweepWord.IGNORES)
    if seen.noise.repeated or word not in told:
        return []
    return [
        Phrase(
            "read_once",
            (
                "Too few points were read twice to know the scatter, so the resolution stands "
                "for it. Read the points on the way up as well: that shows a drift too."
            ),
        )
    ]
