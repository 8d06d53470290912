"""What a hint of a stored field says; the forms that the record uses, and no other."""

import types
from typing import Any, get_args, get_origin

from msgspec import structs


def optional_of(hint: object) -> object | None:
    """Return X where a hint is ``X | None``, else None; TypeError where it is another union."""
    if not isinstance(hint, types.UnionType):
        return None
    others = [arg for arg in get_args(hint) if arg is not type(None)]
    if len(others) != 1 or len(get_args(hint)) != 2:
        raise TypeError(f"no stored field is {hint}")
    return others[0]  # type: ignore[no-any-return]


def item_of(hint: object) -> object | None:
    """Return X where a hint is ``tuple[X, ...]``, else None; TypeError where it is another tuple."""
    if get_origin(hint) is not tuple:
        return None
    args = get_args(hint)
    if len(args) != 2 or args[1] is not Ellipsis:
        raise TypeError(f"no stored field is {hint}")
    return args[0]  # type: ignore[no-any-return]


def fields_of(cls: type) -> list[tuple[str, Any, bool]]:
    """Return name, hint and whether it has a default, of each field of a frozen value."""
    return [(field.name, field.type, not field.required) for field in structs.fields(cls)]
