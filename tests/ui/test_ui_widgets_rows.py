"""How the rows of a bench card are shared out."""

from hypothesis import given
from hypothesis import strategies as st

from commission.ui.widgets.rows import BandRows, share_rows

rows = st.integers(0, 40)
wanted_rows = st.builds(BandRows, result=rows, safety=rows, now=st.integers(1, 12), details=rows, assumes=st.booleans())


def total(shared: BandRows) -> int:
    """All rows together."""
    return shared.result + shared.safety + shared.now + shared.details


@given(st.integers(1, 70), wanted_rows, st.booleans(), st.booleans())
def test_no_more_rows_are_given_than_there_are_or_than_are_wanted(
    height: int, wanted: BandRows, in_full: bool, judged: bool
) -> None:
    shared = share_rows(height, wanted, cautions_open=in_full, judged=judged)
    assert total(shared) == min(height, total(wanted))
    for band in ("result", "safety", "now", "details"):
        assert 0 <= getattr(shared, band) <= getattr(wanted, band)


@given(st.integers(1, 70), wanted_rows, st.booleans(), st.booleans())
def test_the_do_now_band_is_never_cut_while_it_fits(height: int, wanted: BandRows, in_full: bool, judged: bool) -> None:
    shared = share_rows(height, wanted, cautions_open=in_full, judged=judged)
    assert shared.now == min(height, wanted.now)


@given(st.integers(1, 69), wanted_rows, st.booleans())
def test_one_more_row_takes_nothing_from_any_band(height: int, wanted: BandRows, in_full: bool) -> None:
    less = share_rows(height, wanted, cautions_open=in_full)
    more = share_rows(height + 1, wanted, cautions_open=in_full)
    assert all(getattr(more, b) >= getattr(less, b) for b in ("result", "safety", "now", "details"))


def test_the_goal_and_the_cautions_give_way_before_the_details() -> None:
    shared = share_rows(13, BandRows(result=3, safety=1, now=5, details=8))
    assert shared == BandRows(result=0, safety=0, now=5, details=8)


def test_what_was_assumed_takes_the_rows_that_are_left_where_a_goal_takes_all_or_none() -> None:
    wanted = BandRows(result=6, safety=12, now=6, details=8, assumes=True)
    assert share_rows(15, wanted, cautions_open=True).result == 3


def test_a_verdict_gives_way_to_nothing_but_what_is_to_be_done() -> None:
    shared = share_rows(12, BandRows(result=5, safety=1, now=5, details=8), judged=True)
    assert shared == BandRows(result=5, safety=0, now=5, details=2)
