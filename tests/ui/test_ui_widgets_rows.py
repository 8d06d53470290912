"""How the rows of a bench card are shared out."""

from hypothesis import given
from hypothesis import strategies as st

from commission.ui.widgets.rows import BandRows, share_rows

rows = st.integers(0, 40)
wanted_rows = st.builds(BandRows, proves=rows, cautions=rows, now=st.integers(1, 12), known=rows)


def total(shared: BandRows) -> int:
    """All rows together."""
    return shared.proves + shared.cautions + shared.now + shared.known


@given(st.integers(1, 70), wanted_rows, st.booleans(), st.integers(0, 30))
def test_no_more_rows_are_given_than_there_are_or_than_are_wanted(
    height: int, wanted: BandRows, in_full: bool, least: int
) -> None:
    shared = share_rows(height, wanted, cautions_open=in_full, known_least=least)
    assert total(shared) == min(height, total(wanted))
    for band in ("proves", "cautions", "now", "known"):
        assert 0 <= getattr(shared, band) <= getattr(wanted, band)


@given(st.integers(1, 70), wanted_rows, st.booleans(), st.integers(0, 30))
def test_the_do_now_band_is_never_cut_while_it_fits(height: int, wanted: BandRows, in_full: bool, least: int) -> None:
    shared = share_rows(height, wanted, cautions_open=in_full, known_least=least)
    assert shared.now == min(height, wanted.now)


@given(st.integers(1, 69), wanted_rows, st.booleans())
def test_one_more_row_takes_nothing_from_any_band(height: int, wanted: BandRows, in_full: bool) -> None:
    less = share_rows(height, wanted, cautions_open=in_full)
    more = share_rows(height + 1, wanted, cautions_open=in_full)
    assert all(getattr(more, b) >= getattr(less, b) for b in ("proves", "cautions", "now", "known"))


def test_what_it_proves_and_the_cautions_give_way_before_what_is_known() -> None:
    shared = share_rows(13, BandRows(proves=3, cautions=1, now=5, known=8))
    assert shared == BandRows(proves=0, cautions=0, now=5, known=8)
