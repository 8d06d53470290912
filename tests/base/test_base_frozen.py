"""What all frozen values are: named when made, equal by their fields, never changed."""

import copy
import importlib
import pickle
import pkgutil
from collections.abc import Callable, Iterator
from typing import Any, ClassVar

import pytest

import commission
from commission.base.frozen import Frozen, field, replace


class Point(Frozen):
    """A point."""

    KIND: ClassVar[str] = "point"
    y: float | None = None
    x: int
    tags: dict[str, int] = field(default_factory=dict)


class Named(Point):
    """A point with a name."""

    name: str


class Pair(Frozen, kw_only=False):
    """A pair whose fields have an order."""

    left: int
    right: str = "r"


def test_it_is_made_of_named_fields_and_equal_by_them() -> None:
    one = Point(x=1)
    assert (one.x, one.y, one.tags, one.KIND) == (1, None, {}, "point")
    assert one.tags is not Point(x=1).tags
    assert one == Point(x=1) != Point(x=2)
    assert Named(x=1, name="") != one
    assert Pair(1, "a") == Pair(left=1, right="a")
    assert hash(Pair(1, "a")) == hash(Pair(left=1, right="a"))
    match one:
        case Point(x=x, y=None):
            assert x == 1
        case _:
            pytest.fail("its fields are not matched")


@pytest.mark.parametrize("kwargs", [{}, {"x": 1, "z": 2}])
def test_wrong_fields_are_refused(kwargs: dict[str, int]) -> None:
    with pytest.raises(TypeError, match="argument"):
        Point(**kwargs)  # type: ignore[arg-type]
    with pytest.raises(TypeError, match="positional"):
        Point(1)  # type: ignore[call-arg]


def test_nothing_in_it_can_be_changed() -> None:
    one: Any = Named(x=1, name="n")
    with pytest.raises(AttributeError):
        one.x = 2
    with pytest.raises(AttributeError):
        del one.x
    with pytest.raises(AttributeError):
        one.other = 3
    assert (one.x, hasattr(one, "__dict__")) == (1, False)


def test_a_field_is_replaced_in_a_copy() -> None:
    one = Named(x=1, name="n")
    assert replace(one, x=2) == Named(x=2, name="n")
    assert one.x == 1
    with pytest.raises(TypeError, match="colour"):
        replace(one, colour="red")  # type: ignore[call-arg]


@pytest.mark.parametrize("again", [copy.copy, copy.deepcopy, lambda one: pickle.loads(pickle.dumps(one))])
@pytest.mark.parametrize("one", [Pair(1, "a"), Named(x=1, name="n")])
def test_a_copy_is_equal(again: Callable[[object], object], one: object) -> None:
    assert again(one) == one
    assert type(again(one)) is type(one)


def made() -> Iterator[type[Frozen]]:
    for found in pkgutil.walk_packages(commission.__path__, "commission."):
        if found.name != "commission.__main__":
            importlib.import_module(found.name)
    waiting = [Frozen]
    while waiting:
        below = waiting.pop().__subclasses__()
        waiting.extend(below)
        yield from (each for each in below if each.__module__.startswith("commission."))


def test_every_frozen_value_of_the_program_is_frozen_and_refuses_keys_that_it_does_not_know() -> None:
    classes = list(made())
    assert len(classes) > 150
    assert all(cls.__struct_config__.frozen and cls.__struct_config__.forbid_unknown_fields for cls in classes)
