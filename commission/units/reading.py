"""One line at the bench, such as ``497,5 21.3``, understood as the readings of several instruments."""

from collections.abc import Mapping, Sequence

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.base.quantity import Measured
from commission.base.text import clean, clip
from commission.units.line import Field, items_of, place
from commission.units.number import readable
from commission.units.show import show
from commission.units.suspect import value_of

__all__ = ["Field", "Reading", "parse_reading", "understood"]

_LONGEST_LINE = 2000


class Reading(Frozen):
    """A typed line as it was understood."""

    fields: tuple[Field, ...]
    """What was asked for."""
    values: tuple[Measured | None, ...]
    """The value of each field; None where it was not read."""
    note: str
    """What followed the #; empty where nothing did."""
    typed: str
    """The line as it was typed."""

    def of(self, key: str) -> Measured | None:
        """Return the value of the field with this key, or None where it was not read or not asked for."""
        return next((v for f, v in zip(self.fields, self.values, strict=True) if f.key == key), None)


def parse_reading(text: str, fields: Sequence[Field], *, expected: Mapping[str, float] | None = None) -> Reading:
    """Return the readings in one typed line.

    Parameters
    ----------
    text
        Bare numbers in the order of the fields, or numbers with units or labels in any order; ``-`` skips a field;
        ``#`` starts a note.
    fields
        What the line may hold, in the usual order.
    expected
        By key, what was read last or what the test should show [SI]; a bare number far from it is asked about.

    Returns
    -------
    Reading
        Every value in SI, inside its instrument's range.

    Raises
    ------
    InputError
        If the line cannot be read; one line that names the field. One that ``asks`` where a number is likely meant in
        another unit, or could belong to two fields.

    Examples
    --------
    >>> from commission.base.quantity import Quantity
    >>> gauge = Field(key="gauge", label="gauge", quantity=Quantity.GAUGE_PRESSURE, unit="mbar", low=0.0,
    ...               high=1e5, resolution=10.0)
    >>> air = Field(key="air", label="air", quantity=Quantity.TEMPERATURE, unit="degC", low=263.15, high=323.15,
    ...             resolution=0.1, optional=True)
    >>> understood(parse_reading("497,5 21.3 # quiet room", [gauge, air]))
    'gauge 497.5 mbar · air 21.3 °C · note "quiet room"'
    """
    line, note = _without_note(text)
    placed = place(items_of(line, fields), fields)
    values: list[Measured | None] = []
    for field in fields:
        item = placed.get(field.key)
        if item is None and not field.optional:
            raise InputError(f"the {field.label} is missing; type it in {field.unit}, such as {_sample(field)}")
        values.append(None if item is None else value_of(item, field, (expected or {}).get(field.key)))
    return Reading(fields=tuple(fields), values=tuple(values), note=note, typed=text)


def understood(reading: Reading) -> str:
    """Return what a line was understood as, such as ``gauge 497.5 mbar · air 21.3 °C``."""
    parts = []
    for field, value in zip(reading.fields, reading.values, strict=True):
        if value is not None:
            parts.append(f"{field.label} {_shown(value.si, field)}")
    if reading.note:
        parts.append(f'note "{reading.note}"')
    return clean(" · ".join(parts))


def _shown(si: float, field: Field) -> str:
    """Show with the decimals of the display, or with more where more were typed and no conversion made them."""
    coarse = show(si, field.quantity, unit=field.unit, resolution=field.resolution)
    fine = show(si, field.quantity, unit=field.unit, digits=8)
    converted = sum(map(str.isdigit, fine)) > 6
    return fine if len(fine) > len(coarse) and not converted else coarse


def _sample(field: Field) -> str:
    return show((field.low + field.high) / 2, field.quantity, unit=field.unit, digits=3)


def _without_note(text: str) -> tuple[str, str]:
    if len(text) > _LONGEST_LINE:
        raise InputError(f"the line is {len(text)} characters long; type one reading and a short note")
    values, _, note = text.partition("#")
    if not values.strip():
        raise InputError("no reading was typed; type the values in their order, - for one that was not read")
    if "±" in values:
        raise InputError(f"{clip(values.strip())} has a ±; type what the instrument shows, its accuracy is known")
    return readable(values), clean(note.strip())
