"""Past work typed at the bench: a line behind a time was done then, in every stage, and is written up now."""

import pytest

from commission.base.clock import ClockMark
from commission.base.errors import InputError, NotAllowed
from commission.bench.figures import clock_time
from commission.bench.past import is_to_come, seen_at
from commission.stages.bleed.card.bleed import BleedFlow
from commission.stages.bleed.state import BleedState
from tests.answers import BLEED
from tests.fakes import START_MS, HandClock, new_book
from tests.ui.bench import led
from tests.wet_builds import filled_build


def at(now: ClockMark, minutes: float, first_ms: int) -> str:
    """Return a moment so many minutes after another, as it is typed."""
    return clock_time(now, first_ms + round(60_000 * minutes))


def test_a_bleed_of_yesterday_is_typed_with_its_times() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    first_ms = clock.wall_ms + 300_000
    clock.run(86_400)
    now = clock.now()
    flow = BleedFlow(book, build)
    led(flow, BLEED)
    prompt = flow.now()
    assert prompt is not None
    assert prompt.understand(f"began {at(now, 0, first_ms)} covered").startswith("began 2026-09-21 ")
    flow.answer(f"began {at(now, 0, first_ms)} covered")
    flow.answer(f"at {at(now, 35, first_ms)} 30 min 0 mL none quiet")
    with pytest.raises(InputError):
        flow.answer(f"at {at(now, 70, first_ms)} nonsense")
    with pytest.raises(InputError, match="type both on one line"):
        flow.answer(f"at {at(now, 70, first_ms)}")
    with pytest.raises(NotAllowed, match="lies after now"):
        flow.answer(f"at {at(now, 3000, first_ms)} 10 min 0 mL none quiet")
    flow.answer(f"at {at(now, 40, first_ms)} 30 min 0 mL none quiet")  # only 5 min went by: asked back
    with pytest.raises(NotAllowed, match="in the order in which they were done"):
        flow.answer(f"at {at(now, 20, first_ms)} keep")
    flow.answer("keep")
    assert [round(each.elapsed_s / 60) for each in book.build(build).of(BleedState).cycles] == [35, 40]
    clock.run(7200)
    flow.answer("30 min 0 mL none quiet")
    assert book.entries(build)[-1].observed_ms is None  # what is typed without a time is of now again


def test_a_day_may_stand_before_a_time_and_must_be_on_the_calendar() -> None:
    now = HandClock().now()  # 2026-09-21 15:13:20 at the bench
    assert seen_at("2026-09-20 15:13", now) == START_MS - 20_000 - 86_400_000
    assert is_to_come("15:14", seen_at("15:14", now), now)
    assert not is_to_come("15:13", seen_at("15:13", now), now)
    with pytest.raises(InputError, match="on no calendar"):
        seen_at("2026-02-30 15:13", now)
