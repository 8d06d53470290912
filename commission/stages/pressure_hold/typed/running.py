"""What a line does while a hold runs: readings, also those seen earlier, a note, a longer hold."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.quantity import Measured, Quantity
from commission.bench.ask import some_text
from commission.bench.deed import Deed, said
from commission.bench.figures import clock_time, duration
from commission.bench.last_entry import LastEntry, latest
from commission.bench.past import seen_at
from commission.stages.pressure_hold.typed.reading import Line, example, read_line
from commission.units.parse import parse

if TYPE_CHECKING:
    from commission.stages.pressure_hold.at_hand import HoldAtHand
    from commission.stages.pressure_hold.state.attempt import TimedReading


def reading_deed(hand: "HoldAtHand", text: str) -> Deed:
    """Return what a line of readings does.

    Raises
    ------
    InputError
        If it cannot be understood.
    """
    line = _line(hand, text)
    return Deed(told=line.told, do=lambda: _store(hand, line, None))


def late_deed(hand: "HoldAtHand", text: str) -> Deed:
    """Return what readings do that were seen earlier, such as ``14:05 497.5``.

    Raises
    ------
    InputError
        If the time or the readings cannot be understood, or it lies before the start of the hold.
    """
    at, _, values = text.partition(" ")
    if not values.strip():
        raise InputError(f"type the time and what was read, such as at 14:05 {example(hand.plan)}")
    now = hand.book.clock.now()
    seen, started = seen_at(at, now), hand.hold.started
    if started is not None:
        if seen < started.mark.wall_ms - 59_999:
            raise InputError(f"{at} lies before the start of the hold, {clock_time(started.mark)}; correct the time")
        seen = max(seen, started.mark.wall_ms)
    line = _line(hand, values)
    return Deed(told=f"seen at {clock_time(now, seen)} · {line.told}", do=lambda: _store(hand, line, seen))


def note_deed(hand: "HoldAtHand", text: str) -> Deed:
    """Return what a note does that stands among the readings."""
    note = some_text("the note after the word", 400)(text)
    return said(f"note: {note}", lambda: hand.work.read(hand.build_id, pressure=None, note=note))


def extend_deed(hand: "HoldAtHand", text: str) -> Deed:
    """Return what holding longer does; half an hour where nothing else is said.

    Raises
    ------
    InputError
        If it is no time, or the hold would be longer than any may be.
    """
    span = next(limit for limit in hand.stage.limits if limit.id == "hold_s")
    more, planned = parse(text or "30 min", Quantity.DURATION).si, hand.plan.hold_s
    if more <= 0 or planned + more > span.high:
        raise InputError(f"type by how much longer, up to {duration(span.high)} in all, such as extend 1 h")
    whole = f"{duration(planned + more)} in all, after settling"
    return said(
        f"hold {whole}", lambda: hand.work.extend(hand.build_id, planned + more), answer=f"the hold goes on: {whole}"
    )


def last_reading(hand: "HoldAtHand") -> LastEntry:
    """Return the reading that was typed last, as it was typed.

    Raises
    ------
    InputError
        If there is none.
    """
    return latest([_entry(one) for one in hand.hold.readings], "there is no typed reading to withdraw")


def _entry(one: "TimedReading") -> LastEntry:
    reading = one.reading
    typed = [value.typed for value in (reading.pressure, reading.air, reading.barometer) if value is not None]
    return LastEntry(seq=one.seq, what=" ".join(typed) or reading.note, lead="the last reading")


def _line(hand: "HoldAtHand", text: str) -> Line:
    return read_line(text, hand.plan, _expected(hand))


def _expected(hand: "HoldAtHand") -> dict[str, float]:
    """Return what was read last of each, for questions about slips; the plan's pressure before that."""
    plan, expected = hand.plan, {}
    if plan.gauge.quantity is Quantity.GAUGE_PRESSURE:
        expected["gauge"] = plan.target_gauge_pa
    for one in hand.hold.readings:
        reading = one.reading
        for key, value in (("gauge", reading.pressure), ("air", reading.air), ("barometer", reading.barometer)):
            if isinstance(value, Measured):
                expected[key] = value.si
    return expected


def _store(hand: "HoldAtHand", line: Line, observed_ms: int | None) -> str:
    logged = hand.work.read(
        hand.build_id,
        pressure=line.of("gauge"),
        air=line.of("air"),
        barometer=line.of("barometer"),
        note=line.note,
        observed_ms=observed_ms,
    )
    return f"entry {logged.seq} · {line.told}"
