"""Frozen dataclasses that take a tenth of the time to define: what a class needs is written when it is first used.

The library's own decorator compiles six functions for every class. The record has some 200 of them: that took more than
a third of each start of the program, and most starts make objects of a few. Here the library still finds the fields and
makes the slots; all else is shared by all classes, and ``__init__`` is compiled at the first call. To a type checker,
and to ``fields``, ``replace``, ``copy`` and ``pickle``, it is the library's.
"""

import dataclasses
from collections.abc import Callable
from operator import attrgetter
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass  # noqa: PLC0414 - so it is handed on
else:

    def dataclass(*, frozen: bool, slots: bool, kw_only: bool = False) -> Callable[[type], type]:
        """Make a class a frozen dataclass with slots: no other is made here; one below another is the library's."""
        if not (frozen and slots):
            raise TypeError("only frozen classes with slots are made here; take the library's dataclass")

        def make(cls: type) -> type:
            if any(dataclasses.is_dataclass(base) for base in cls.__mro__[1:]):
                return dataclasses.dataclass(frozen=True, slots=True, kw_only=kw_only)(cls)
            return _made(cls, kw_only)

        return make


def _made(cls: type, kw_only: bool) -> type:
    found: Any = dataclasses.dataclass(init=False, repr=False, eq=False, slots=True, kw_only=kw_only)(cls)
    parameters = found.__dataclass_params__
    parameters.init = parameters.repr = parameters.eq = parameters.frozen = True
    names = [field.name for field in dataclasses.fields(found)]
    values: Callable[[Any], Any] = attrgetter(*names) if names else lambda _: ()

    def equal(self: Any, other: Any) -> Any:
        return values(self) == values(other) if other.__class__ is self.__class__ else NotImplemented

    methods: dict[str, Any] = {
        "__init__": _first_init(found),
        "__eq__": equal,
        "__hash__": lambda self: hash(values(self)),
        "__repr__": _repr,
        "__setattr__": _keep,
        "__delattr__": _hold,
        "__getstate__": lambda self: [getattr(self, name) for name in names],
        "__setstate__": _restore,
    }
    if own := sorted(cls.__dict__.keys() & {*methods, "__post_init__"}):
        raise TypeError(f"{cls.__name__} says itself what all share: {', '.join(own)}; take the library's dataclass")
    for name, method in methods.items():
        setattr(found, name, method)
    return found  # type: ignore[no-any-return]


def _first_init(cls: type) -> Callable[..., None]:
    def first(self: Any, *args: Any, **kwargs: Any) -> None:
        made = _init_of(cls)
        cls.__init__ = made  # type: ignore[misc]
        made(self, *args, **kwargs)

    return first


def _init_of(cls: Any) -> Callable[..., None]:
    """Compile the ``__init__`` of a class: its slots are filled past the lock that keeps everybody else out."""
    space: dict[str, Any] = {"_left_out": _LEFT_OUT}
    heads, lines = [], []
    for field in dataclasses.fields(cls):
        name, value, head = field.name, field.name, field.name
        space[f"_set_{name}"] = getattr(cls, name).__set__
        if field.default is not dataclasses.MISSING:
            space[f"_default_{name}"] = field.default
            head = f"{name}=_default_{name}"
        elif field.default_factory is not dataclasses.MISSING:
            space[f"_make_{name}"] = field.default_factory
            head, value = f"{name}=_left_out", f"_make_{name}() if {name} is _left_out else {name}"
        heads.append(head)
        lines.append(f" _set_{name}(self, {value})")
    star = ["*"] if heads and dataclasses.fields(cls)[0].kw_only else []
    text = f"def __init__({', '.join(['self', *star, *heads])}):\n" + "\n".join(lines or [" pass"])
    exec(text, space)  # noqa: S102 - as the library does: names of fields, and nothing that was typed
    made: Callable[..., None] = space["__init__"]
    made.__qualname__ = f"{cls.__qualname__}.__init__"
    made.__module__ = cls.__module__
    return made


_LEFT_OUT = object()


def _repr(self: Any) -> str:
    told = ", ".join(f"{field.name}={getattr(self, field.name)!r}" for field in dataclasses.fields(self))
    return f"{type(self).__qualname__}({told})"


def _keep(_self: Any, name: str, _value: Any) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _hold(_self: Any, name: str) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


def _restore(self: Any, state: list[Any]) -> None:
    for field, value in zip(dataclasses.fields(self), state, strict=True):
        object.__setattr__(self, field.name, value)
