"""Colours of our own, dark and light, and the switch to plain ASCII.

Words carry every state; these colours only repeat them. Blue, ochre and vermilion keep apart what red and green would
not for one man in twelve.
"""

from collections.abc import Mapping
from typing import Any

from textual.app import App
from textual.scrollbar import ScrollBar, ScrollBarRender
from textual.theme import Theme

ASCII_CLASS = "-ascii"
"""Class of the app under which every widget draws with ASCII only."""


def _variables(paper: str, ink: str, key: str, *, foot: str, muted: str, disabled: str, bar: str) -> dict[str, str]:
    """Return what Textual derives otherwise: the cursor and the keys in the colours of a theme, plain to read."""
    return {
        "text-muted": muted,
        "text-disabled": disabled,
        "block-cursor-foreground": paper,
        "block-cursor-background": key,
        "block-cursor-text-style": "bold",
        "footer-background": foot,
        "footer-foreground": ink,
        "footer-description-foreground": ink,
        "footer-key-foreground": key,
        "input-cursor-background": ink,
        "input-cursor-foreground": paper,
        "scrollbar": bar,
        "scrollbar-background": foot,
    }


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
    variables=_variables(
        "#11181c", "#e3e8e6", "#6cbcd9", foot="#182126", muted="#a3b0b5", disabled="#8b999f", bar="#52656f"
    ),
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
    variables=_variables(
        "#f6f3ec", "#1b2327", "#0a567c", foot="#ece8de", muted="#4c5a61", disabled="#5a686f", bar="#a29d8f"
    ),
)
"""Paper in daylight."""

_BARE = _variables("#000000", "#ffffff", "#ffffff", foot="#000000", muted="#ffffff", disabled="#ffffff", bar="#ffffff")

MONO = Theme(
    name="bench-mono",
    dark=True,
    background="#000000",
    surface="#000000",
    panel="#000000",
    foreground="#ffffff",
    primary="#ffffff",
    secondary="#ffffff",
    accent="#ffffff",
    warning="#ffffff",
    error="#ffffff",
    success="#ffffff",
    variables=_BARE,
)
"""White on black: for a terminal without colours, and for whoever asks for none (NO_COLOR). Words, marks and reversed
boxes say everything."""

SIXTEEN = Theme(
    name="bench-sixteen",
    dark=True,
    background="#000000",
    surface="#000000",
    panel="#000000",
    foreground="#ffffff",
    primary="#55ffff",
    secondary="#aaaaaa",
    accent="#ff55ff",
    warning="#ffff55",
    error="#ff5555",
    success="#55ff55",
    variables={**_BARE, "text-muted": "#aaaaaa", "text-disabled": "#aaaaaa", "footer-key-foreground": "#55ffff"},
)
"""Nothing but the bright colours of a terminal of sixteen, each exactly, so that none is rounded to its neighbour."""

THEMES = (DARK, LIGHT, MONO, SIXTEEN)
"""In the order in which one key goes through them."""


def usual_theme(environment: Mapping[str, str]) -> str:
    """Return the theme that suits a terminal by what it says of itself: NO_COLOR (no-color.org), COLORTERM and TERM.

    >>> usual_theme({"NO_COLOR": "1", "TERM": "xterm-256color"})
    'bench-mono'
    >>> usual_theme({"TERM": "linux"}), usual_theme({"TERM": "xterm-256color"})
    ('bench-sixteen', 'bench-dark')
    """
    term = environment.get("TERM", "")
    if environment.get("NO_COLOR") or term in ("dumb", "vt100", "vt220"):
        return MONO.name
    few = term in ("linux", "ansi", "xterm", "screen", "cygwin") or term.endswith("-16color")
    return SIXTEEN.name if few and not environment.get("COLORTERM") else DARK.name


def theme_after(name: str) -> str:
    """Return the name of the theme that comes after another.

    >>> theme_after("bench-dark"), theme_after("bench-sixteen")
    ('bench-light', 'bench-dark')
    """
    names = [theme.name for theme in THEMES]
    return names[(names.index(name) + 1) % len(names)] if name in names else names[0]


class AsciiScrollBarRender(ScrollBarRender):
    """A scroll bar without the eighth blocks at the ends of its thumb."""

    VERTICAL_BARS = [" "] * 8
    HORIZONTAL_BARS = [" "] * 8


def dress(app: App[Any], *, ascii_only: bool = False, theme: str = "") -> None:
    """Register the themes and put one on, by name where it is known; with `ascii_only` nothing but ASCII is drawn."""
    for one in THEMES:
        app.register_theme(one)
    known = theme in {one.name for one in THEMES}
    app.theme = theme if known else DARK.name
    app.set_class(ascii_only, ASCII_CLASS)
    ScrollBar.renderer = AsciiScrollBarRender if ascii_only else ScrollBarRender
