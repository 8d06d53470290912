"""What a typed line is asked for, its numbers, and which field each belongs to."""

import itertools
import re
from collections.abc import Sequence

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.base.quantity import Quantity
from commission.base.text import clip
from commission.units.lookup import find_unit
from commission.units.number import split_number
from commission.units.parse import parse
from commission.units.tables import BY_SPELLING


class Field(Frozen):
    """One value that a line may hold, and the instrument it is read from."""

    key: str
    """Its name for programs; may be typed before a value."""
    label: str
    """Its name for people, such as ``gauge``; may be typed before a value."""
    quantity: Quantity
    """What it is."""
    unit: str
    """The instrument's usual unit, which a bare number has."""
    low: float
    """Lowest value of the instrument [SI]."""
    high: float
    """Highest value of the instrument, its full scale [SI]."""
    resolution: float
    """One step of its display [SI]."""
    optional: bool = False
    """Whether a line may leave it out."""


class Item(Frozen):
    """One number of a typed line with the words around it."""

    number: str
    """The number as typed."""
    unit: str
    """What followed it up to the next number; empty where nothing did."""
    label: str
    """Key of the field that was named before it; empty where none was."""

    @property
    def text(self) -> str:
        """The number and its unit."""
        return f"{self.number} {self.unit}" if self.unit else self.number


def order_of(fields: Sequence[Field]) -> str:
    """Return the order of the fields as a person needs it, such as ``gauge [mbar], air [degC]``."""
    return ", ".join(f"{f.label} [{f.unit}]" for f in fields)


_STARTS = re.compile(r"[+\-−.,]?[0-9]")


def items_of(line: str, fields: Sequence[Field]) -> list[Item | None]:
    """Return the numbers of a line in order, None for each that was skipped with a dash."""
    labels = {name.casefold(): field.key for field in fields for name in (field.key, field.label)}
    items: list[Item | None] = []
    label, number, unit = "", "", [""]

    def finish() -> None:
        if number:
            items.append(Item(number=number, unit=" ".join(unit), label=label))

    for word in line.split():
        if _STARTS.match(word):
            finish()
            label, number, unit = ("" if number else label), word, []
        elif word.casefold() in labels or word in {"-", "−", "·", "|"}:
            finish()
            label, number, unit = labels.get(word.casefold(), ""), "", []
            items.extend([None] if word in {"-", "−"} else [])
        elif number:
            unit.append(word)
        else:
            raise InputError(f"{clip(word)} is no number; type values in the order {order_of(fields)}")
    finish()
    return [item and _apart(item) for item in items]


def _apart(item: Item) -> Item:
    """Part a unit that was typed without a blank, such as 497,5mbar."""
    _, glued = split_number(item.number)
    if not glued:
        return item
    return Item(number=item.number.removesuffix(glued), unit=f"{glued} {item.unit}".strip(), label=item.label)


def place(items: Sequence[Item | None], fields: Sequence[Field]) -> dict[str, Item]:
    """Return each number by the key of its field.

    Labelled numbers go where they say. Numbers with units go where their unit, the instrument's range and its usual
    unit fit best; bare numbers and dashes fill what is left in the order of the fields. A tie is asked about.
    """
    if len(items) > len(fields):
        raise InputError(f"{len(items)} values were typed where at most {len(fields)} fit: {order_of(fields)}")
    placed: dict[str, Item] = {}
    for item in items:
        if item is not None and item.label:
            if item.label in placed:
                raise InputError(f"the {item.label} was typed twice; type it once")
            placed[item.label] = item
    free = [f for f in fields if f.key not in placed]
    rest = [i for i in items if i is None or not i.label]
    ways = _ways(rest, free)
    if not ways:
        raise _no_place(rest, free, fields)
    scores = [_score(way, rest, free) for way in ways]
    best = [way for way, score in zip(ways, scores, strict=True) if score == max(scores)]
    if len(best) > 1:
        raise _tie(best, rest, free)
    placed.update({f.key: i for f, i in zip(best[0], rest, strict=True) if i is not None})
    return placed


def _ways(items: Sequence[Item | None], free: Sequence[Field]) -> list[tuple[Field, ...]]:
    """Return every way to give the items fields, with bare numbers and dashes in the order of the fields."""
    ways = []
    for way in itertools.permutations(free, len(items)):
        with_unit = {f.key for f, i in zip(way, items, strict=True) if i is not None and i.unit}
        bare = [f for f, i in zip(way, items, strict=True) if i is None or not i.unit]
        left = [f for f in free if f.key not in with_unit]
        if bare == left[: len(bare)] and all(
            i is None or not i.unit or _takes(f, i) for f, i in zip(way, items, strict=True)
        ):
            ways.append(way)
    return ways


def _no_place(items: Sequence[Item | None], free: Sequence[Field], fields: Sequence[Field]) -> InputError:
    for item in items:
        if item is not None and item.unit and not any(_takes(f, item) for f in free):
            wanted = free[0] if free else fields[0]
            try:
                find_unit(item.unit, wanted.quantity, number=item.number)
            except InputError as error:
                return error
            return InputError(f"{clip(item.text)} has no field left; the order is {order_of(fields)}")
    return InputError(f"two values were typed for one field; the order is {order_of(fields)}")


def _tie(best: Sequence[Sequence[Field]], items: Sequence[Item | None], free: Sequence[Field]) -> InputError:
    names = " and ".join(f.label for f in free if any(f in way for way in best))
    answer = " ".join(f"{f.label} {i.text}" for f, i in zip(best[0], items, strict=True) if i is not None)
    asked = next(i.text for i in items if i is not None and i.unit)
    return InputError(f"{clip(asked)} suits {names}: put the name before it, such as {answer}", asks=True)


def _takes(field: Field, item: Item) -> bool:
    try:
        find_unit(item.unit, field.quantity)
    except InputError as error:
        return error.asks
    return True


def _score(way: Sequence[Field], items: Sequence[Item | None], free: Sequence[Field]) -> tuple[int, int, int, bool]:
    """Return how well a way fits: needed fields, ranges, usual units, and order where bare numbers rely on it."""
    pairs = [(f, i) for f, i in zip(way, items, strict=True) if i is not None]
    needed = sum(f in way for f in free if not f.optional)
    in_range = sum(_in_range(f, i) for f, i in pairs)
    usual = sum(BY_SPELLING[f.quantity].get(i.unit) == find_unit(f.unit, f.quantity) for f, i in pairs if i.unit)
    positions = [free.index(f) for f in way]
    ordered = any(not i.unit for _, i in pairs) and positions == sorted(positions)
    return needed, in_range, usual, ordered


def _in_range(field: Field, item: Item) -> bool:
    try:
        parse(item.text.replace(",", "."), field.quantity, usual=field.unit, low=field.low, high=field.high)
    except InputError:
        return False
    return True
