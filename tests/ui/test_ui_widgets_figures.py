"""Figures in columns: numbers flush right, words flush left, and nothing wider than its room."""

import pytest

from commission.bench.card import Figure
from commission.ui.widgets.figure_table import figure_lines


def lines(width: int, *figures: tuple[str, ...]) -> list[str]:
    """The lines of figures: label, value, bounds and remark of each."""
    whole = [(*one, "", "")[:4] for one in figures]
    made = [Figure(label=label, value=value, bounds=bounds, remark=remark) for label, value, bounds, remark in whole]
    return [line.plain for line in figure_lines(made, width)]


def test_numbers_meet_at_their_right_end_and_words_begin_where_numbers_may() -> None:
    plan = (("limit", "0.01 mbar"), ("pressure", "500 mbar"), ("gauge", "a gauge of one bar"), ("time", "none"))
    limit, pressure, gauge, none = lines(66, *plan)
    assert len(limit) == len(pressure) == len(none)
    assert gauge.index("a gauge") == limit.index("0.01")
    # a date is no number, and among words alone all begin together
    words = lines(66, ("to", "Mara Lind"), ("due", "2026-10-21"), ("state", "open"))
    assert len({line.index(word) for line, word in zip(words, ("Mara", "2026", "open"), strict=True)}) == 1


def test_bounds_without_room_go_on_beneath_and_leave_the_other_columns_alone() -> None:
    told = lines(
        50, ("at 100 %", "1497 rpm", "2 rpm apart"), ("range", "63 %", "more than has any room in the line here")
    )
    assert told[0].index("2 rpm") == told[1].index("more") == len(told[2]) - len(told[2].lstrip())
    assert " ".join(" ".join(told[1:]).split()).endswith("more than has any room in the line here")


def test_a_remark_takes_the_place_of_bounds_where_there_are_none() -> None:
    first, second = lines(66, ("block in", "1 look", "", "dry at 10 min"), ("drain", "0 looks", "due now"))
    assert first.index("dry") == second.index("due")


@pytest.mark.parametrize("width", [20, 33, 50, 66, 90])
def test_no_line_is_wider_than_its_room(width: int) -> None:
    rows = (
        ("coolant change", "due 2028-03-19", "in 728 days", "every 24 months; by the bottle; drain, fill, bleed"),
        ("coolant lost", "3.0 mL a month", "2.1 to 3.9 mL (95 %)"),
        ("per watt", "25.5 mK/W", "+2 % since handover, -16 % to +20 % (95 %)", "above air"),
        ("a name that is longer than any column", "", "rating not known"),
        ("gauge", "a digital gauge with a long name of its own", "", "falls 7 mbar"),
    )
    told = lines(width, *rows)
    assert max(map(len, told)) <= width
    flat = " ".join(" ".join(told).split())
    for figure in rows:
        for text in figure[1:]:
            assert text in flat
