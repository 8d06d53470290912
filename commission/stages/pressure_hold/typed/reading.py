"""One typed line of readings, understood by the instruments of the plan."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.base.quantity import Measured, Quantity
from commission.bench.ask import some_text
from commission.bench.deed import Deed, said
from commission.bench.figures import clock_time, duration, faces_text, instrument_step
from commission.bench.last_entry import LastEntry, latest
from commission.bench.past import is_to_come, seen_at
from commission.record.machine.instrument import GaugeFace, Instrument
from commission.stages.pressure_hold.entries import HoldPlan
from commission.units.parse import parse
from commission.units.reading import Field, parse_reading, understood
from commission.units.show import show

if TYPE_CHECKING:
    from commission.stages.pressure_hold.at_hand import HoldAtHand
    from commission.stages.pressure_hold.state.attempt import TimedReading


LOW, HIGH = 0.7, 1.25
"""A bare number outside this share of the reading before is asked about [1]; our choice: no loop loses or gains as
much between two readings unseen."""


class Line(Frozen):
    """A line as it was understood."""

    values: Mapping[str, Measured | None]
    """By field."""
    note: str
    """What followed the #."""
    told: str
    """The whole line as understood."""

    def of(self, key: str) -> Measured | None:
        """Return the value of a field, None where it was not read."""
        return self.values.get(key)


def fields_of(plan: HoldPlan) -> list[Field]:
    """Return what a line may hold, in the order in which it is typed."""
    fields = [_field("gauge", plan.gauge, optional=False)]
    if plan.thermometer is not None:
        fields.append(_field("air", plan.thermometer, optional=True))
    if plan.barometer is not None:
        fields.append(_field("barometer", plan.barometer, optional=True))
    return fields


def to_read(plan: HoldPlan) -> str:
    """Return what is to be typed, in order; of a dial how finely it is read, and that it is tapped first."""
    names = [field.label for field in fields_of(plan)]
    gauge, faces = plan.gauge, faces_text(plan.gauge, plan.thermometer, plan.barometer)
    if gauge.face is not GaugeFace.DIAL:
        return f"Type what the instruments show: {', '.join(names)}{faces}."
    quarter = gauge.division > 0 and gauge.resolution < gauge.division
    names[0] += f" to {'a quarter of a division' if quarter else 'the nearest mark'} ({instrument_step(gauge)})"
    return f"{'Tap the gauge, then type' if gauge.tapped else 'Type'} {', '.join(names)}{faces}."


def read_line(text: str, plan: HoldPlan, expected: Mapping[str, float]) -> Line:
    """Return the readings of a line.

    Raises
    ------
    InputError
        If it cannot be understood; the message asks or says what to type.
    """
    reading = parse_reading(text, fields_of(plan), expected=expected)
    values = {key: reading.of(key) for key in ("gauge", "air", "barometer")}
    _ask_if_far(values["gauge"], plan, expected.get("gauge"))
    return Line(values=values, note=reading.note, told=understood(reading))


def _ask_if_far(gauge: Measured | None, plan: HoldPlan, expected: float | None) -> None:
    """Ask about a bare number far from the reading before: a value of another instrument, or a great leak."""
    if gauge is None or expected is None or any(letter.isalpha() for letter in gauge.typed):
        return
    slack = 20 * plan.gauge.resolution
    if expected * LOW - slack <= gauge.si <= expected * HIGH + slack:
        return
    shown, before = (show(si, plan.gauge.quantity, unit=plan.gauge.unit) for si in (gauge.si, expected))
    raise InputError(f"gauge {shown}, where {before} was expected? type {shown} if it is right")


def example(plan: HoldPlan) -> str:
    """Return a line such as ``500.0 21.3 1013``, in the instruments' usual units.

    The value of the gauge is the planned one, so that it shows how many decimals are wanted.
    """
    parts = [_number(plan.target_gauge_pa if _is_gauge(plan.gauge) else 1.5e5, plan.gauge)]
    if plan.thermometer is not None:
        parts.append(_number(294.45, plan.thermometer))
    if plan.barometer is not None:
        parts.append(_number(101_300.0, plan.barometer))
    return " ".join(parts)


def _is_gauge(instrument: Instrument) -> bool:
    return instrument.quantity is Quantity.GAUGE_PRESSURE


def _number(si: float, instrument: Instrument) -> str:
    shown = show(si, instrument.quantity, unit=instrument.unit, resolution=instrument.resolution)
    return shown.partition(" ")[0]


def _field(key: str, instrument: Instrument, *, optional: bool) -> Field:
    return Field(
        key=key,
        label=key,
        quantity=instrument.quantity,
        unit=instrument.unit,
        low=instrument.low,
        high=instrument.high,
        resolution=instrument.resolution,
        optional=optional,
    )


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
            if is_to_come(at, seen, now):
                raise InputError(f"{at} is still to come: it is {clock_time(now)} now; correct the time")
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
    span = hand.stage.bounds("hold_s")
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
    return latest(
        [_entry(one) for one in hand.hold.readings],
        "there is no typed reading to withdraw; a fed row: commission withdraw-row",
    )


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
