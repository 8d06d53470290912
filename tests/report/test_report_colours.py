"""Contrast of the page, computed by WCAG 2.2: relative luminance and ratio (https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio)."""

import colorsys
import itertools

import pytest

from commission.report import colours
from commission.report.as_html import STYLE

TEXTS = (colours.INK, colours.QUIET, colours.ACCENT)
GROUNDS = (colours.PAPER, colours.SHADE)


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour, by the formula of the standard."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_gives_the_ratio_of_the_standard_for_black_on_white() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)  # WCAG 2.2: ratios range from 1 to 21


@pytest.mark.parametrize(("text", "ground"), list(itertools.product(TEXTS, GROUNDS)))
def test_text_stands_out(text: str, ground: str) -> None:
    assert contrast(text, ground) >= 4.5  # 1.4.3, text of usual size


@pytest.mark.parametrize("line", [colours.INK, colours.QUIET])
@pytest.mark.parametrize("ground", [colours.PAPER, colours.BAND])
def test_lines_of_pictures_stand_out_from_paper_and_band(line: str, ground: str) -> None:
    assert contrast(line, ground) >= 3.0  # 1.4.11


def test_no_colour_but_these_and_all_but_one_are_grey() -> None:
    known = {value for value in vars(colours).values() if isinstance(value, str) and value.startswith("#")}
    used = {word.strip(";") for word in STYLE.replace("{", " ").split() if word.startswith("#")}
    assert used
    assert used <= known
    hues = {c for c in known if colorsys.rgb_to_hls(*(int(c[at : at + 2], 16) / 255 for at in (1, 3, 5)))[2] > 0}
    assert hues == {colours.ACCENT}
