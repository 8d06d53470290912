"""The keys that stages name for their screens, in the row of keys beside those that are always there."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from textual.binding import BindingsMap

    from commission.bench.face import Face, Key


def stage_keys(faces: "tuple[Face, ...]") -> "Iterator[tuple[Key, str]]":
    """Yield the keys of stages, each with the name of the screen of a build that it leads to."""
    return ((face.key, face.id) for face in faces if face.key is not None)


def shop_keys(faces: "tuple[Face, ...]") -> "Iterator[tuple[Key, str]]":
    """Yield the keys of screens of the workshop, each with the name of its screen."""
    return ((shop.key, shop.name) for face in faces for shop in face.shop if shop.key is not None)


def bind_keys(bindings: "BindingsMap", faces: "tuple[Face, ...]") -> None:
    """Add the keys of the stages to those of the app, in the order in which they lie on the keyboard."""
    for key, name in (*stage_keys(faces), *shop_keys(faces)):
        bindings.bind(key.key, f"go('{name}')", key.label, key.shown, key_display=key.key.upper(), priority=True)
    bindings.key_to_bindings = dict(sorted(bindings.key_to_bindings.items(), key=lambda one: _place(one[0])))


def key_lines(faces: "tuple[Face, ...]") -> tuple[str, ...]:
    """Return what the keys do, for the help of a screen."""
    stages = (f"{key.key.upper()} {key.title.lower()}" for key, _ in stage_keys(faces))
    shop = (f"{key.key.upper()} {key.title.lower()}" for key, _ in shop_keys(faces))
    return (
        " · ".join(["F1 help", *stages, "F3 the stage whose turn it is · F7 stage before · F8 stage after"]),
        " · ".join(["F4 log", *shop, "F6 next theme: dark, light, white on black, 16 colours", "F12 report"]),
        "Type stage and its name, such as stage bleed: any stage of this build",
        "Tab all details, or fewer again · Ctrl+B bell on or off, kept for the next time",
    )


def _place(key: str) -> int:
    """Return where a key stands: Escape first, then the function keys by their numbers, then all else."""
    if key[:1] == "f" and key[1:].isdecimal():
        return int(key[1:])
    return 0 if key == "escape" else 99
