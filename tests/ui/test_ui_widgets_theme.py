"""Our themes can be read.

Relative luminance and contrast ratio: W3C, Web Content Accessibility Guidelines (WCAG) 2.2, definitions "relative
luminance" and "contrast ratio"; at least 4.5:1 for text, success criterion 1.4.3.
"""

import pytest
from textual.app import App, ComposeResult
from textual.color import Color
from textual.theme import Theme
from textual.widgets import Static

from commission.ui.theme import ASCII_CLASS, LIGHT, MONO, SIXTEEN, THEMES, dress

LEAST = 4.5


def luminance(color: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    linear = []
    for channel in Color.parse(color).rgb:
        c = channel / 255
        linear.append(c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4)
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio as WCAG 2.2 defines it."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_black_on_white_is_twenty_one_to_one() -> None:
    # WCAG 2.2, note to "contrast ratio": ratios range from 1 to 21.
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#336699", "#336699") == pytest.approx(1.0)


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize("ground", ["background", "surface", "panel"])
@pytest.mark.parametrize(
    "ink", ["foreground", "primary", "secondary", "accent", "warning", "error", "success", "text-muted"]
)
def test_every_ink_can_be_read_on_every_ground(theme: Theme, ground: str, ink: str) -> None:
    variables = theme.to_color_system().generate()
    assert contrast(variables[ink], variables[ground]) >= LEAST


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize(
    ("ink", "ground"),
    [
        ("block-cursor-foreground", "block-cursor-background"),
        ("footer-foreground", "footer-background"),
        ("footer-key-foreground", "footer-background"),
        ("input-cursor-foreground", "input-cursor-background"),
        ("text-disabled", "background"),
    ],
)
def test_cursor_footer_and_hints_can_be_read(theme: Theme, ink: str, ground: str) -> None:
    variables = theme.to_color_system().generate()
    assert contrast(variables[ink], variables[ground]) >= LEAST


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize("ink", ["success", "warning", "error", "primary"])
def test_a_reversed_box_can_be_read(theme: Theme, ink: str) -> None:
    # the verdict's box and a warning's mark: the ground is written on the ink
    variables = theme.to_color_system().generate()
    assert contrast(variables["background"], variables[ink]) >= LEAST


def test_the_theme_of_sixteen_has_no_colour_that_a_terminal_of_sixteen_rounds() -> None:
    # The 16 colours of the IBM colour graphics adapter (Technical Reference, Options and Adapters, 1984): red, green
    # and blue are 00 or aa; with the intensity bit 55 or ff.
    levels = {"00", "55", "aa", "ff"}
    given = [SIXTEEN.primary, SIXTEEN.secondary, SIXTEEN.accent, SIXTEEN.warning, SIXTEEN.error, SIXTEEN.success]
    for color in (*given, SIXTEEN.foreground, SIXTEEN.background, *SIXTEEN.variables.values()):
        if color is None or not color.startswith("#"):
            continue
        channels = {color[1:3], color[3:5], color[5:7]}
        assert channels <= levels
        assert channels <= {"00", "aa"} or channels <= {"55", "ff"} or channels == {"00"}, color


def test_without_colours_nothing_is_told_by_a_hue() -> None:
    inks = {MONO.primary, MONO.secondary, MONO.warning, MONO.error, MONO.success, MONO.foreground}
    assert inks == {"#ffffff"}


async def test_the_themes_are_put_on_and_ascii_is_a_class() -> None:
    class Small(App[None]):
        def compose(self) -> ComposeResult:
            yield Static("x")

    app = Small()
    async with app.run_test():
        dress(app, theme=LIGHT.name, ascii_only=True)
        assert app.theme == "bench-light"
        assert app.has_class(ASCII_CLASS)
        dress(app)
        assert app.theme == "bench-dark"
        assert not app.has_class(ASCII_CLASS)
