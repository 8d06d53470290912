"""One typed line of readings, understood by the instruments of the plan."""

from collections.abc import Mapping

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.base.quantity import Measured, Quantity
from commission.bench.figures import faces_text, instrument_step
from commission.record.machine.instrument import GaugeFace, Instrument
from commission.stages.pressure_hold.entries import HoldPlan
from commission.units.reading import Field, parse_reading, understood
from commission.units.show import show

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
