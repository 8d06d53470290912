"""A class that is made quickly behaves as the library's own dataclass does: each check is made of both."""

import copy
import dataclasses
import importlib
import inspect
import pickle
import pkgutil
from collections.abc import Callable, Iterator
from typing import Any, ClassVar

import pytest

import commission
from commission.base import frozen

MAKERS = {"quick": frozen.dataclass, "library": dataclasses.dataclass}


def point(make: Callable[..., Any]) -> Any:
    @make(frozen=True, slots=True, kw_only=True)
    class Point:
        """A point."""

        KIND: ClassVar[str] = "point"
        x: int
        y: float | None = None
        tags: dict[str, int] = dataclasses.field(default_factory=dict)

        def moved(self) -> "Point":
            return dataclasses.replace(self, x=self.x + 1)  # type: ignore[type-var]

    return Point


@frozen.dataclass(frozen=True, slots=True)
class Pair:
    """A pair whose fields have an order."""

    left: int
    right: str = "r"


@frozen.dataclass(frozen=True, slots=True, kw_only=True)
class Empty:
    """A class without fields."""


@pytest.fixture(params=MAKERS)
def cls(request: pytest.FixtureRequest) -> Any:
    return point(MAKERS[request.param])


def test_it_is_made_compared_and_told_like_the_librarys(cls: Any) -> None:
    one = cls(x=1)
    assert (one.x, one.y, one.tags, one.KIND) == (1, None, {}, "point")
    assert one.tags is not cls(x=1).tags
    assert one == cls(x=1) != cls(x=2)
    assert one != (1, None, {})
    assert repr(one) == "point.<locals>.Point(x=1, y=None, tags={})"
    assert one.moved() == cls(x=2)
    assert [field.name for field in dataclasses.fields(one)] == ["x", "y", "tags"]
    assert (cls.__name__, cls.__doc__, dataclasses.is_dataclass(cls)) == ("Point", "A point.", True)
    assert cls.__dataclass_params__.frozen
    match one:
        case cls(x=x, y=None):
            assert x == 1
        case _:
            pytest.fail("its fields are not matched")


def test_nothing_in_it_can_be_changed(cls: Any) -> None:
    one = cls(x=1)
    with pytest.raises(dataclasses.FrozenInstanceError, match="cannot assign to field 'x'"):
        one.x = 2
    with pytest.raises(dataclasses.FrozenInstanceError, match="cannot delete field 'x'"):
        del one.x
    with pytest.raises((dataclasses.FrozenInstanceError, TypeError)):
        one.other = 3
    assert (one.x, hasattr(one, "__dict__")) == (1, False)


@pytest.mark.parametrize(("args", "kwargs"), [((), {}), ((1,), {}), ((), {"x": 1, "z": 2})])
def test_wrong_arguments_are_refused_at_the_first_call_and_later(
    cls: Any, args: tuple[int, ...], kwargs: dict[str, int]
) -> None:
    for _ in range(2):
        with pytest.raises(TypeError, match=r"Point\.__init__\(\)"):
            cls(*args, **kwargs)
    assert cls(x=1).x == 1


def test_a_hash_is_that_of_its_values() -> None:
    library = dataclasses.make_dataclass("Pair", [("left", int), ("right", str)], frozen=True)
    assert hash(Pair(1, "a")) == hash(Pair(left=1, right="a")) == hash(library(1, "a"))
    assert hash(Empty()) == hash(Empty())
    assert Empty() == Empty()
    with pytest.raises(TypeError, match="unhashable"):
        hash(point(frozen.dataclass)(x=1))


@pytest.mark.parametrize("again", [copy.copy, copy.deepcopy, lambda one: pickle.loads(pickle.dumps(one))])
@pytest.mark.parametrize("one", [Pair(1, "a"), Empty()])
def test_a_copy_is_equal(again: Callable[[object], object], one: object) -> None:
    assert again(one) == one
    assert type(again(one)) is type(one)


def test_a_class_below_another_is_the_librarys() -> None:
    @frozen.dataclass(frozen=True, slots=True)
    class Triple(Pair):
        third: int = 3

    assert Triple(1) == Triple(left=1, right="r", third=3)
    assert Triple(1) != Pair(1)
    with pytest.raises(dataclasses.FrozenInstanceError):
        Triple(1).third = 4  # type: ignore[misc]


@pytest.mark.parametrize("words", [{"frozen": False, "slots": True}, {"frozen": True, "slots": False}])
def test_no_other_class_is_made(words: dict[str, bool]) -> None:
    make: Any = frozen.dataclass
    with pytest.raises(TypeError, match="only frozen classes with slots"):
        make(**words)


@pytest.mark.parametrize("name", ["__repr__", "__eq__", "__hash__", "__post_init__"])
def test_a_class_that_says_itself_what_all_share_is_refused(name: str) -> None:
    make: Any = frozen.dataclass
    with pytest.raises(TypeError, match=f"says itself what all share: {name}"):
        make(frozen=True, slots=True)(type("Own", (), {name: lambda *_: 1}))


# --- every class of the program that is made so ------------------------------------------------------------------


def made() -> Iterator[Any]:
    for found in pkgutil.walk_packages(commission.__path__, "commission."):
        text = importlib.util.find_spec(found.name).loader.get_source(found.name)  # type: ignore[union-attr]
        if "from commission.base.frozen import" in (text or ""):
            yield from (
                each
                for each in vars(importlib.import_module(found.name)).values()
                if isinstance(each, type) and dataclasses.is_dataclass(each) and each.__module__ == found.name
            )


def test_every_class_takes_what_the_librarys_would_take() -> None:
    classes = list(made())
    assert len(classes) > 150
    for cls in classes:
        fields = dataclasses.fields(cls)
        twin = dataclasses.make_dataclass(
            cls.__name__,
            [(f.name, f.type, _as_given(f)) for f in fields],
            frozen=True,
            kw_only=bool(fields and fields[0].kw_only),
        )
        ours, theirs = (inspect.signature(init).parameters for init in (frozen._init_of(cls), vars(twin)["__init__"]))
        assert list(ours) == list(theirs), cls
        assert [one.kind for one in ours.values()] == [one.kind for one in theirs.values()], cls
        assert [_given(one) for one in ours.values()] == [_given(one) for one in theirs.values()], cls
        assert [one.default for one in ours.values() if _plain(one)] == [
            one.default for one in theirs.values() if _plain(one)
        ], cls


def _as_given(field: "dataclasses.Field[Any]") -> Any:
    if field.default_factory is not dataclasses.MISSING:
        return dataclasses.field(default_factory=field.default_factory)
    return dataclasses.field(default=field.default)


def _given(one: inspect.Parameter) -> bool:
    return one.default is not inspect.Parameter.empty


def _plain(one: inspect.Parameter) -> bool:
    """Return whether a default is a value and not a mark for something that is made each time."""
    return _given(one) and type(one.default).__name__ not in ("object", "_HAS_DEFAULT_FACTORY_CLASS")
