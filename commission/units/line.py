"""Numbers of one typed line, and which field each belongs to."""

import itertools
import re
from collections.abc import Sequence

from commission.domain.errors import UnitError
from commission.domain.text import clip
from commission.units.field import Field, Item, order_of
from commission.units.lookup import Ambiguous, find_unit
from commission.units.number import split_number
from commission.units.parse import parse
from commission.units.tables import BY_SPELLING

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
            raise UnitError(f"{clip(word)} is no number; type values in the order {order_of(fields)}")
    finish()
    return [item and _apart(item) for item in items]


def _apart(item: Item) -> Item:
    """Part a unit that was typed without a blank, such as 497,5mbar."""
    _, glued = split_number(item.number)
    if not glued:
        return item
    return Item(number=item.number.removesuffix(glued), unit=f"{glued} {item.unit}".strip(), label=item.label)


def place(items: Sequence[Item | None], fields: Sequence[Field]) -> dict[str, Item]:
    """Return each number by the key of its field: labelled ones first, bare ones by order, the rest where they fit."""
    if len(items) > len(fields):
        raise UnitError(f"{len(items)} values were typed where at most {len(fields)} fit: {order_of(fields)}")
    placed: dict[str, Item] = {}
    skipped: set[str] = set()
    for item in items:
        if item is not None and item.label:
            if item.label in placed:
                raise UnitError(f"the {item.label} was typed twice; type it once")
            placed[item.label] = item
    with_units = [i for i in items if i is not None and i.unit and not i.label]
    for item in with_units:
        _only_field(item, [f for f in fields if f.key not in placed], fields, placed)
    for item in items:
        if item is not None and (item.unit or item.label):
            continue
        free = next((f for f in fields if f.key not in placed and f.key not in skipped), None)
        if free is None:
            raise UnitError(f"{clip(item.text if item else '-')} has no field left; the order is {order_of(fields)}")
        if item is None:
            skipped.add(free.key)
        else:
            placed[free.key] = item
    rest = [i for i in with_units if not any(i is p for p in placed.values())]
    placed.update(_fit(rest, [f for f in fields if f.key not in placed and f.key not in skipped]))
    return placed


def _takes(field: Field, item: Item) -> bool:
    try:
        find_unit(item.unit, field.quantity)
    except Ambiguous:
        return True
    except UnitError:
        return False
    return True


def _only_field(item: Item, free: Sequence[Field], fields: Sequence[Field], placed: dict[str, Item]) -> None:
    takers = [f for f in free if _takes(f, item)]
    if not takers:
        wanted = free[0] if free else fields[0]
        find_unit(item.unit, wanted.quantity, number=item.number)
        raise UnitError(f"{clip(item.text)} has no field left; the order is {order_of(fields)}")
    if len(takers) == 1:
        placed[takers[0].key] = item


def _fit(items: Sequence[Item], free: Sequence[Field]) -> dict[str, Item]:
    """Place numbers whose unit suits several fields by range, needed fields and usual units; ask where it is a tie."""
    if not items:
        return {}
    ways = [way for way in itertools.permutations(free, len(items)) if all(map(_takes, way, items))]
    if not ways:
        raise UnitError(f"{clip(items[0].text)} has no field left; leave it out")
    scored = sorted(((_score(way, items, free), way) for way in ways), key=lambda pair: pair[0], reverse=True)
    best = [way for score, way in scored if score == scored[0][0]]
    if len(best) > 1:
        names = " and ".join(f.label for f in free if any(f in way for way in best))
        answer = " ".join(f"{f.label} {i.text}" for f, i in zip(best[0], items, strict=True))
        raise Ambiguous(f"{clip(items[0].text)} suits {names}: put the name before it, such as {answer}")
    return {field.key: item for field, item in zip(best[0], items, strict=True)}


def _score(way: Sequence[Field], items: Sequence[Item], free: Sequence[Field]) -> tuple[int, int, int]:
    needed = sum(f in way for f in free if not f.optional)
    usual = sum(
        BY_SPELLING[f.quantity].get(i.unit) == find_unit(f.unit, f.quantity) for f, i in zip(way, items, strict=True)
    )
    return needed, sum(map(_in_range, way, items)), usual


def _in_range(field: Field, item: Item) -> bool:
    try:
        parse(item.text, field.quantity, low=field.low, high=field.high)
    except UnitError:
        return False
    return True
