"""The cautions of a hold: few are asked, each other one stands on the card at its own moment, and none is lost."""

import pytest

from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.stages.pressure_hold.card.hold import HoldFlow, Phase
from commission.stages.pressure_hold.card.quick import quick_start
from commission.stages.pressure_hold.work.holds import Holds
from tests.answers import HOLD, OF_A_HOLD
from tests.cautions_shown import MOST, gone_through, standing
from tests.fakes import HandClock, new_book
from tests.ui.bench import asked, led

NORTH = "North 1.2 L digital 1 mbar 0.4 bar max 0.8 bar"
LINES = (*HOLD, "", "", "", "1", "400", "400", "end", "", "0")
"""A hold to its vent."""


def test_a_hold_asks_four_cautions_and_shows_each_other_at_its_moment_and_loses_none() -> None:
    book, _, clock = new_book()
    book.name_operator("Ada")
    flow = HoldFlow(book, quick_start(book, NORTH).do())
    shown, rows = gone_through(flow, LINES, clock)
    assert [len(row) for row in rows] == [MOST]
    assert rows[0] | set().union(*shown.values()) == OF_A_HOLD
    assert shown["step connect"] == {"brittle_parts", "local_rules"}
    assert shown["step pump_up"] == {"weakest_part", "never_oxygen", "gas_bottle"}
    under_pressure = ("step isolate", "source", "start", "reading", "really end", "let down")
    assert {key: shown[key] for key in under_pressure} == {key: {"let_down"} for key in under_pressure}
    assert standing(flow)[1] == set()


def test_air_is_measured_with_only_after_the_cautions() -> None:
    book, _, _ = new_book()
    book.name_operator("Ada")
    flow = HoldFlow(book, quick_start(book, NORTH).do())
    led(flow, [*HOLD, "plan"])
    assert standing(flow)[1] == set()
    other = HoldFlow(book, book.open_build("South"))
    led(other, ["strokes"])
    assert other.phase is Phase.CAUTIONS
    led(other, HOLD)
    assert (other.phase, standing(other)[1]) == (Phase.PLAN, {"weakest_part", "never_oxygen", "gas_bottle"})
    assert "one stroke" in asked(other)
    assert other.back()


def second_build(book: Logbook, line: str = "South 1.2 L digital 1 mbar 0.4 bar max 0.8 bar") -> HoldFlow:
    """A second build whose hold is planned."""
    return HoldFlow(book, quick_start(book, line).do())


def held_today() -> tuple[Logbook, HandClock]:
    """A workshop in which Ada answered the cautions of one build."""
    book, _, clock = new_book()
    book.name_operator("Ada")
    led(HoldFlow(book, quick_start(book, NORTH).do()), HOLD)
    return book, clock


def test_for_the_second_build_of_a_day_what_was_read_unchanged_is_one_line() -> None:
    book, _ = held_today()
    flow = second_build(book)
    assert asked(flow).startswith("2 cautions that you read before, unchanged.")
    led(flow, ["", "on", "out"])
    assert flow.phase is Phase.STEPS
    assert not flow.hand.work.missing_cautions(flow.hand.state, When.BEFORE_PRESSURE)


def test_what_is_otherwise_in_the_second_build_is_asked_and_said() -> None:
    book, _ = held_today()
    # ASME PCC-2: 2.5 p V (1 - (101.325 kPa / p)^0.286); 1.2 L at 141.325 kPa absolute: 38.48 J, and 2.4 L twice that
    flow = second_build(book, "South 2.4 L digital 1 mbar 0.4 bar max 0.8 bar")
    assert asked(flow).endswith(": energy was 38 J, is 77 J. Read the caution marked now, and do what it says.")


@pytest.mark.parametrize("who", ["Ada", "Kim"])
def test_another_day_or_person_is_asked_each_caution(who: str) -> None:
    book, clock = held_today()
    book.name_operator(who)
    clock.run(86_400.0 if who == "Ada" else 0.0)
    flow = second_build(book)
    assert asked(flow).startswith("Read the caution marked now")
    assert len(book.work(Holds).missing_cautions(flow.hand.state, When.BEFORE_PRESSURE)) == MOST
