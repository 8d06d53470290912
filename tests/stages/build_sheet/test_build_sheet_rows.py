"""A parts list is put into words once: its screen and ``show`` say the same of parts, volume and weakest part."""

from commission.stages.build_sheet.card.add import add_deed
from commission.stages.build_sheet.card.sheet import SheetFlow
from commission.stages.build_sheet.rows import sheet_lines
from tests.fakes import new_book
from tests.holds import ready_build
from tests.stages.said_once import unsaid


def test_the_card_and_show_say_the_same_of_a_parts_list() -> None:
    """One radiator of 1200 ± 30 mL as standard uncertainty is good to 60 mL (K95 = 2), and withstands 1000 mbar."""
    book, _, _ = new_book()
    build = ready_build(book)
    state = book.build(build)
    instruments = {one.name for one in book.shop().instruments}
    figures = [one for one in SheetFlow(book, build).card().figures if one.value not in instruments]
    totals = [one for one in figures if one.label in ("loop volume", "weakest part")]
    parts = [one for one in figures if one not in totals]
    assert [one.label for one in parts] == [part.name for part in state.parts]
    assert totals[0].line() == "loop volume: 1200 mL, ± 60 mL (95 %); sum of the parts"
    lines = list(sheet_lines(book, state))
    assert list(unsaid(totals, lines, "")) == []
    assert list(unsaid(parts, lines, "part")) == []


def test_what_a_part_is_assumed_to_be_is_told_when_it_is_added() -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    assert add_deed(book, build, "reservoir 250 mL", ()).told.endswith("(assumed: rating, wetted)")
    known = add_deed(book, build, "reservoir 250 mL", ("wetted acetal", "rating 0.8 bar"))
    assert "assumed" not in known.told
