"""The record on the screen: every entry, and withdrawing one."""

from commission.record.entries import Withdrawn
from commission.stages.pressure_hold.card.hold import HoldFlow
from commission.stages.pressure_hold.state.attempt import hold_of
from tests.ui.bench import at_home, led, new_app, ready, typed
from tests.ui.pictures import same_as_golden, settled, text_of


async def test_the_record_ends_with_the_last_entry_and_its_chain() -> None:
    book, _, _, _ = ready()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.press("f4")
        await pilot.pause()
        text = text_of(app)
    head = book.head()
    assert f"last entry {head.seq}, chain {head.digest[:16]}" in text
    assert "step done" in text


async def test_a_wrong_entry_is_withdrawn_with_a_reason_and_stays_with_the_word() -> None:
    book, _, _, build = ready()
    led(HoldFlow(book, build), ["500 21", "499 21"])
    wrong = book.head().seq
    app = new_app(book)
    async with app.run_test(size=(120, 30)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.press("f4")
        await pilot.pause()
        await typed(pilot, str(wrong))
        assert f"Why is entry {wrong} wrong" in text_of(app)
        await typed(pilot, "read the wrong gauge")
        text = text_of(app)
    assert "WITHDRAWN" in text
    last = book.entries(build)[-1].payload
    assert last == Withdrawn(target=wrong, reason="read the wrong gauge")
    assert len(hold_of(book.build(build)).readings) == 1


async def test_the_start_of_a_hold_cannot_be_withdrawn() -> None:
    book, log, _, build = ready()
    led(HoldFlow(book, build), ["500 21"])
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.press("f4")
        await pilot.pause()
        head = log.head()
        await typed(pilot, str(head.seq - 1))
        await typed(pilot, "a reason")
        assert "cannot be withdrawn" in text_of(app)
    assert log.head() == head


async def test_keys_move_the_cursor_while_the_line_keeps_the_text() -> None:
    book, _, _, _ = ready()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.press("f4")
        await pilot.pause()
        before = text_of(app)
        await pilot.press("up", "up")
        await pilot.pause()
        assert text_of(app) != before


async def test_the_record_looks_as_it_did() -> None:
    book, _, _, build = ready()
    led(HoldFlow(book, build), ["500 21", "499 21", "undo", ""])
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.press("f4")
        await settled(pilot)
        # the digest covers the whole procedure and every field of an entry: it changes whenever one of them does
        same_as_golden(app, "record_80", but={book.head().digest[:16]: "0123456789abcdef"})
