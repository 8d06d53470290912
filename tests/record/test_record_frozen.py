"""Nothing in the state of a build can be changed in place: it is safe to keep one and to hand it to many."""

import types
from collections.abc import Iterator, Mapping
from enum import Enum
from pathlib import Path
from typing import Any, get_args, get_origin

import pytest
from msgspec import structs

from commission.base.frozen import Frozen
from commission.record.build_state import BuildState
from commission.record.fold import ShopState
from commission.record.logged import Logged
from commission.record.payload import Payload
from tests.registered import KINDS, REGISTRY, sample_logbook

PLAIN = (str, int, float, bool, type(None))
"""What Python itself never changes in place."""


def within(hint: Any) -> Iterator[Any]:
    """Yield the hints that a hint holds, at the first depth; what a stage hands in is what it says that it hands in."""
    if hint is Payload:
        yield from KINDS.values()
    if hint is object:
        yield from (state for face in REGISTRY.faces for state in face.states)
    if get_origin(hint) in (tuple, frozenset, Mapping, types.UnionType):
        yield from (each for each in get_args(hint) if each is not Ellipsis)
    elif isinstance(hint, type) and issubclass(hint, Frozen):
        yield from (field.type for field in structs.fields(hint))


def fixed(hint: Any) -> bool:
    """Return whether a value of a hint can be changed by nobody who only holds it, what it holds aside."""
    if hint in PLAIN or hint in (Payload, object, type) or get_origin(hint) in (tuple, frozenset, types.UnionType):
        return True
    # a mapping has no way to write: the type checker refuses whoever tries
    if get_origin(hint) is Mapping:
        return True
    if isinstance(hint, type) and issubclass(hint, Frozen):
        return hint.__struct_config__.frozen
    return isinstance(hint, type) and issubclass(hint, Enum)


def changeable(root: Any) -> list[Any]:
    """Return the hints at any depth below one whose values could be changed in place."""
    seen: list[Any] = []
    waiting = [root]
    while waiting:
        hint = waiting.pop()
        if hint not in seen:
            seen.append(hint)
            waiting.extend(within(hint))
    return [hint for hint in seen if not fixed(hint)]


@pytest.mark.parametrize("root", [BuildState, ShopState, Logged])
def test_a_state_holds_nothing_that_can_be_changed(root: type) -> None:
    assert changeable(root) == []


def test_what_can_be_changed_is_found() -> None:
    assert changeable(tuple[dict[str, int], ...]) == [dict[str, int]]
    assert changeable(tuple[list[str], int]) == [list[str]]


def test_a_stage_keeps_nothing_but_what_it_says(tmp_path: Path) -> None:
    said = {state for face in REGISTRY.faces for state in face.states}
    opened = sample_logbook(tmp_path)
    try:
        states = [opened.book.build(row.build_id).states for row in opened.book.builds()]
    finally:
        opened.book.close()
    assert {cls for state in states for cls in state} <= said
