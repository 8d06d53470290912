"""Colours of our own, dark and light, and the switch to plain ASCII."""

from textual.app import App
from textual.theme import Theme

ASCII_CLASS = "-ascii"
"""Class of the app under which every widget draws with ASCII only."""

DARK = Theme(name="bench-dark", primary="#7fb2d9", dark=True)
"""Dark theme."""
LIGHT = Theme(name="bench-light", primary="#1f5f8b", dark=False)
"""Light theme."""


def dress(app: App[object], *, light: bool = False, ascii_only: bool = False) -> None:
    """Register both themes and put one on; with `ascii_only` nothing but ASCII is drawn."""
    app.register_theme(DARK)
    app.register_theme(LIGHT)
    app.theme = (LIGHT if light else DARK).name
    app.set_class(ascii_only, ASCII_CLASS)
