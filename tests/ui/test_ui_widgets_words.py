"""Text on its way into a widget."""

from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from commission.base.text import fold
from commission.ui.widgets.words import LONGEST, cut, fit, safe, wrap
from tests.ui.hostile import hostile_text


@given(hostile_text, st.booleans())
def test_safe_text_is_printable_and_of_bounded_length(text: str, plain: bool) -> None:
    shown = safe(text, plain)
    assert shown.isprintable() or all(c.isprintable() or c.isspace() for c in shown)
    assert "\x1b" not in shown
    assert len(shown) <= 10 * (LONGEST + 1)
    assert shown.isascii() or not plain


@given(hostile_text)
def test_cleaning_a_text_twice_changes_nothing(text: str) -> None:
    assert safe(safe(text)) == safe(text)


@given(hostile_text, st.integers(0, 60), st.booleans())
def test_a_fitted_text_takes_exactly_its_cells(text: str, width: int, right: bool) -> None:
    assert cell_len(fit(safe(text), width, right=right)) == width


@given(hostile_text, st.integers(2, 60))
def test_wrapping_keeps_every_letter_and_no_line_is_too_long(text: str, width: int) -> None:
    lines = wrap(safe(text), width)
    assert all(cell_len(line) <= width for line in lines)
    assert "".join(lines).replace(" ", "") == safe(text).replace(" ", "")


@given(hostile_text, st.integers(2, 40), st.integers(0, 5))
def test_a_cut_text_keeps_to_its_rows(text: str, width: int, rows: int) -> None:
    shown = cut(wrap(safe(text), width), width, rows)
    assert len(shown.split("\n")) <= max(1, rows)
    assert all(cell_len(line) <= width for line in shown.split("\n"))


def test_what_was_cut_says_so() -> None:
    assert cut(["one", "two", "three"], 10, 2) == "one\ntwo three"
    assert cut(["one", "two words", "three"], 10, 2) == "one\ntwo words…"


def test_ascii_keeps_units_readable() -> None:
    assert fold("21.3 °C ± 0.2 · 2.5 µL ≤ 0.01 mbar·L/s") == "21.3 degC +- 0.2; 2.5 uL <= 0.01 mbar*L/s"
