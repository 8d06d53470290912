"""Frozen values: what is stored, what the record makes of it, and all else that is handed on and never changes."""

from typing import TYPE_CHECKING, Any, dataclass_transform

from msgspec import Struct, StructMeta, field, structs

__all__ = ["Frozen", "field", "replace"]


class _Named(StructMeta):
    """Fields are named when a value is made; the library asks for that class by class."""

    def __new__(mcls, *args: Any, kw_only: bool = True, **config: Any) -> "_Named":
        return super().__new__(mcls, *args, kw_only=kw_only, **config)


@dataclass_transform(frozen_default=True, kw_only_default=True, field_specifiers=(field,))
class Frozen(Struct, metaclass=_Named, frozen=True, forbid_unknown_fields=True):
    """A value that never changes.

    Nothing is checked when one is made; ``storage/codec.py`` checks what is stored, on the way in and out. A class
    takes a third of the time of a dataclass to define: the program has some 450, and each start of it waits.
    """


if TYPE_CHECKING:
    from dataclasses import replace as replace  # noqa: PLC0414, TID251 - its fields are checked
else:
    replace = structs.replace
