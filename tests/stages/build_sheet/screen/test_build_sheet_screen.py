"""The build sheet on the screen."""

from commission.stages.pressure_hold.card.hold import HoldFlow
from tests.ui.bench import at_home, flow_at, new_app, one_build, typed, with_parts
from tests.ui.pictures import same_as_golden, settled, text_of


async def test_parts_typed_one_after_the_other_stand_in_the_list_with_their_sum() -> None:
    book, _, _, build = one_build()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.pause()
        for line in ("2 x radiator 240", "", "tube 10 mm x 1,2 m", ""):
            await typed(pilot, line)
        text = text_of(app)
    assert "loop volume" in text
    assert "radiator 240 mm 2" in text
    assert "94 mL ± 4 mL" in text
    assert len(book.build(build).parts) == 3


async def test_a_warning_comes_while_the_part_is_typed() -> None:
    book, _, _, _ = with_parts()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.press("f2")
        await pilot.pause()
        await typed(pilot, "gpu block")
        await typed(pilot, "bare aluminium")
        assert " !  WARNING: Bare aluminium" in text_of(app)


async def test_enter_on_the_empty_line_goes_on_to_the_hold() -> None:
    book, _, _, _ = with_parts()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.press("f2")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(flow_at(app), HoldFlow)


async def test_the_sheet_looks_as_it_did() -> None:
    book, _, _, _ = with_parts()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.press("f2")
        await settled(pilot)
        same_as_golden(app, "sheet_80")
