"""Colours of our own, dark and light, and the switch to plain ASCII.

Words carry every state; these colours only repeat them. Blue, ochre and vermilion keep apart what red and green would
not for one man in twelve.
"""

from typing import Any

from textual.app import App
from textual.scrollbar import ScrollBar, ScrollBarRender
from textual.theme import Theme

ASCII_CLASS = "-ascii"
"""Class of the app under which every widget draws with ASCII only."""

DARK = Theme(
    name="bench-dark",
    dark=True,
    background="#11181c",
    surface="#182126",
    panel="#24313a",
    foreground="#e3e8e6",
    primary="#6cbcd9",
    secondary="#9db4bf",
    accent="#cfaee8",
    warning="#eab05a",
    error="#ff8f73",
    success="#6fcfa8",
    variables={
        "text-muted": "#a3b0b5",
        "text-disabled": "#8b999f",
        "block-cursor-foreground": "#11181c",
        "block-cursor-background": "#6cbcd9",
        "block-cursor-text-style": "bold",
        "footer-background": "#182126",
        "footer-foreground": "#e3e8e6",
        "footer-description-foreground": "#e3e8e6",
        "footer-key-foreground": "#6cbcd9",
        "input-cursor-background": "#e3e8e6",
        "input-cursor-foreground": "#11181c",
        "scrollbar": "#52656f",
        "scrollbar-background": "#182126",
    },
)
"""A bench at night."""

LIGHT = Theme(
    name="bench-light",
    dark=False,
    background="#f6f3ec",
    surface="#ece8de",
    panel="#dcd7ca",
    foreground="#1b2327",
    primary="#0a567c",
    secondary="#43545e",
    accent="#643382",
    warning="#7d4300",
    error="#9c260c",
    success="#08603f",
    variables={
        "text-muted": "#4c5a61",
        "text-disabled": "#5a686f",
        "block-cursor-foreground": "#f6f3ec",
        "block-cursor-background": "#0a567c",
        "block-cursor-text-style": "bold",
        "footer-background": "#ece8de",
        "footer-foreground": "#1b2327",
        "footer-description-foreground": "#1b2327",
        "footer-key-foreground": "#0a567c",
        "input-cursor-background": "#1b2327",
        "input-cursor-foreground": "#f6f3ec",
        "scrollbar": "#a29d8f",
        "scrollbar-background": "#ece8de",
    },
)
"""Paper in daylight."""


class AsciiScrollBarRender(ScrollBarRender):
    """A scroll bar without the eighth blocks at the ends of its thumb."""

    VERTICAL_BARS = [" "] * 8
    HORIZONTAL_BARS = [" "] * 8


def dress(app: App[Any], *, light: bool = False, ascii_only: bool = False) -> None:
    """Register both themes and put one on; with `ascii_only` nothing but ASCII is drawn."""
    app.register_theme(DARK)
    app.register_theme(LIGHT)
    app.theme = (LIGHT if light else DARK).name
    app.set_class(ascii_only, ASCII_CLASS)
    ScrollBar.renderer = AsciiScrollBarRender if ascii_only else ScrollBarRender
