"""The time of a hold: nothing is read after now, and a clock that was moved is noticed."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from commission.base.clock import Timing, elapsed_between
from commission.base.errors import InputError, NotAllowed
from commission.base.quantity import Amount, Phrase, Quantity
from commission.record.done_at import OLDEST_S, done_ms
from commission.record.entries import FindingCured
from commission.record.past import TAKEN_OVER
from commission.record.payload import kind_shown
from commission.stages.pressure_hold.entries import HoldClosed, PressureLetDown, RowsRefused, SearchPumped
from commission.stages.pressure_hold.state.attempt import holds_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.base.clock import ClockMark
    from commission.record.fold import BuildState
    from commission.record.logged import Sample
    from commission.record.record import Record
    from commission.stages.pressure_hold.state.attempt import HoldAttempt

AHEAD_S = 30.0
"""Fed readings may run ahead of this program's clock by so much [s]; our choice: a logger that is started together with
the program counts while that still loads, and its clock need not agree."""

DONE_TO_THE_LOOP = (HoldClosed, PressureLetDown, SearchPumped, FindingCured)
"""What is done to a loop beside wetting it: a hold that began before proves nothing of the loop as it is. A part that
is described is not among it, for that may be done after it was held; taking one out is, apart: it opens the loop."""


def age_s(hold: HoldAttempt, now: ClockMark) -> float:
    """Return how long ago a hold began [s]; 0 where it was not started."""
    return 0.0 if hold.started is None else hold.ahead_s + elapsed_between(hold.started.mark, now).elapsed_s


def latest_s(hold: HoldAttempt, now: ClockMark, lead_s: float = 0.0) -> float:
    """Return the latest place in a hold that a fed reading can have by now [s], if the first one lay at `lead_s`."""
    return age_s(hold, now) + (AHEAD_S + lead_s if hold.began_ms is None else 0.0)


class HoldTimes:
    """When a hold began, and what can be read by now."""

    def __init__(self, book: Record) -> None:
        self._book = book
        self._leads: dict[str, float] = {}

    def elapsed_s(self, hold: HoldAttempt) -> float:
        """Return how long a hold has been going [s]; 0 where it was not started.

        Where its readings are taken over from a file, as far as these reach: nobody knows what was after them.
        """
        if hold.began_ms is None:
            return age_s(hold, self._book.clock.now())
        last = self._book.log.last_sample(hold.series)
        return 0.0 if last is None else last.elapsed_s

    def refuse_future(self, build_id: str, hold: HoldAttempt, samples: Sequence[Sample]) -> None:
        """Refuse samples that are said to be read after now.

        In a hold that is taken over from a file they show that its start was given wrongly, and that is recorded: what
        was refused may be what leaked.

        Raises
        ------
        InputError
            If there is one.
        """
        now = self._book.clock.now()
        last_s = max((sample.elapsed_s for sample in samples), default=0.0)
        if last_s <= latest_s(hold, now, self._lead_s(hold, samples)):
            return
        said = f"it is said to be read {last_s:.0f} s after the start, which was {max(0.0, age_s(hold, now)):.0f} s ago"
        if hold.began_ms is None or hold.refused_s is not None:
            raise InputError(f"{said}; nothing is read after now")
        self._book.record(build_id, RowsRefused(attempt=hold.attempt, elapsed_s=last_s))
        raise InputError(
            f"{said}. The start that was given is wrong and this hold proves nothing. End it; "
            "take the file over with the right start"
        )

    def _lead_s(self, hold: HoldAttempt, samples: Sequence[Sample]) -> float:
        """Return where in the hold the first fed reading lies [s]: a logger may have counted before the hold began."""
        if hold.series not in self._leads and samples:
            stored = self._book.log.samples(hold.series).elapsed_s
            self._leads[hold.series] = stored[0] if len(stored) else samples[0].elapsed_s
        typed = any(one.reading.pressure is not None for one in hold.readings)
        return 0.0 if typed else self._leads.get(hold.series, 0.0)

    def refuse_typed(self, hold: HoldAttempt, observed_ms: int | None) -> None:
        """Refuse a typed reading that cannot be placed in a hold.

        Parameters
        ----------
        hold
            The attempt, which was started.
        observed_ms
            When it was seen, if that was typed [ms since 1970 UTC].

        Raises
        ------
        NotAllowed
            If the hold is taken over from a file, or the time lies before the start or after now, or the clock was
            moved since the start, so that no time of day says when.
        """
        if hold.began_ms is not None:
            raise NotAllowed("this hold is taken over from a file; feed its rows, or end it")
        if observed_ms is None or hold.started is None:
            return
        now = self._book.clock.now()
        if elapsed_between(hold.started.mark, now).moved:
            raise NotAllowed("the computer's clock was moved during the hold; type the reading without a time")
        if not hold.started.mark.wall_ms <= observed_ms <= now.wall_ms:
            raise NotAllowed("that time lies before the start of the hold or after now; correct the time")

    def refuse_end(self, hold: HoldAttempt) -> None:
        """Refuse an end that is written up later where this program saw the hold run, or before its last reading.

        Raises
        ------
        NotAllowed
            If it is so.
        """
        at_ms = self._book.past.at_ms
        if at_ms is None:
            return
        if hold.began_ms is None:
            raise NotAllowed("this program saw the hold run, so it ends now; --at goes with one that is taken over")
        last = self._book.log.last_sample(hold.series)
        if last is not None and at_ms < hold.began_ms + round(1000 * last.elapsed_s):
            raise NotAllowed("that time lies before the last reading of the hold; correct the time")

    def refuse_began(self, state: BuildState, began_ms: int) -> None:
        """Refuse the start of a hold whose readings are to be taken over from a file, where it cannot be true.

        Parameters
        ----------
        began_ms
            When the hold is said to begin [ms since 1970 UTC].

        Raises
        ------
        NotAllowed
            If it lies after now, more than a year ago, or before something that was done to the loop since. The end of
            a hold whose start was given wrongly does nothing to a loop.
        """
        now_ms = self._book.clock.now().wall_ms
        if began_ms >= now_ms:
            raise NotAllowed("the hold is said to begin after now; correct the time that it began")
        if began_ms < now_ms - 1000 * OLDEST_S:
            raise NotAllowed(
                "the hold is said to begin more than a year ago; correct the time that it began, or hold again"
            )
        stored = self._book.entries(state.build_id)
        counting = (one for one in stored if isinstance(one.payload, DONE_TO_THE_LOOP))
        wrong = {hold.closed.seq for hold in holds_of(state) if hold.closed and hold.refused_s is not None}
        done = [one for one in counting if one.seq not in state.withdrawn | wrong]
        for entry in sorted([*done, *state.wetted, *state.opened], key=lambda one: one.seq, reverse=True):
            if done_ms(entry) > began_ms:
                raise NotAllowed(
                    f'the hold is said to begin before entry {entry.seq} ("{kind_shown(entry.payload)}"). It '
                    "proves nothing of the loop as it is. Correct the time, or hold again"
                )


def untrue_time(hold: HoldAttempt, end: ClockMark, fed_s: Sequence[float]) -> Phrase | None:
    """Return why the time of a hold cannot be trusted; None where it can.

    Parameters
    ----------
    hold
        The attempt, which was started.
    end
        The clocks when it was ended, or now.
    fed_s
        Places of its fed readings, in order [s].

    Notes
    -----
    Without a clock that bridges it, as when the computer was restarted, a wall clock that was set back shows by
    readings that seem to be taken before the start or before an earlier one, or by less time than the computer has been
    running. Readings that were typed in later than they were seen may come in any order.
    """
    assert hold.started is not None  # whoever asks has seen to it
    steady = [timed.elapsed.elapsed_s for timed in hold.readings if timed.elapsed.timing is Timing.BOOT_CLOCK]
    wall = [timed.elapsed.elapsed_s for timed in hold.readings if timed.elapsed.restarted]
    whole = elapsed_between(hold.started.mark, end)
    reached_s = max([*steady, *wall, 0.0])
    lost = whole.lost or any(timed.elapsed.lost for timed in hold.readings)
    back = any(later < earlier for earlier, later in pairwise(steady + wall)) or min(wall, default=0.0) < 0.0
    if lost or back or (whole.restarted and whole.elapsed_s < reached_s):
        return Phrase("clock_stepped", "The clock was set back during the hold.")
    since = [one.typed for one in hold.readings if one.typed.boot_id == end.boot_id]
    if whole.restarted and since and elapsed_between(since[0], end).moved:
        said = "After a restart the computer's clock was set during the hold, so how long it took is not known."
        return Phrase("clock_set_after_restart", said)
    if hold.refused_s is not None:
        return Phrase(
            "rows_after_now",
            "Rows of the file lay after now, at {0} of the hold: the start that was given is wrong.",
            (Amount(Quantity.DURATION, hold.refused_s),),
        )
    if len(fed_s) and fed_s[-1] > latest_s(hold, end, fed_s[0]):
        return Phrase("read_after_now", "Readings are said to be taken after it was judged.")
    return None


def remarks_on_time(hold: HoldAttempt, end: ClockMark) -> tuple[Phrase, ...]:
    """Return what must be known of the time of a hold whose verdict stands: moved clocks, readings from a file."""
    assert hold.started is not None  # whoever asks has seen to it
    found = []
    if hold.began_ms is not None or hold.written_up:
        found.append(TAKEN_OVER)
    steps = [timed.elapsed for timed in hold.readings] + [elapsed_between(hold.started.mark, end)]
    if any(step.restarted for step in steps):
        found.append(Phrase("restarted", "The computer was restarted during the hold; only its wall clock counts."))
    moved = next((step for step in steps if step.timing is Timing.BOOT_CLOCK and step.moved), None)
    if moved is not None:
        way = "back" if moved.wall_step_s < 0 else "forward"
        found.append(
            Phrase(
                "clock_moved",
                f"The computer's clock was set {way} by {{0}} during the hold; a clock that cannot be set counts.",
                (Amount(Quantity.DURATION, abs(moved.wall_step_s)),),
            )
        )
    return tuple(found)
