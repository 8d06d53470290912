"""The test rig is described: steps and the question about the source follow it."""

import contextlib
from pathlib import Path

import pytest

from commission.base.errors import InputError, NotAllowed
from commission.base.verdict import Outcome
from commission.record.logbook import Logbook
from commission.stages.pressure_hold.card.hold import HoldFlow
from commission.stages.pressure_hold.card.quick import quick_start
from commission.stages.pressure_hold.entries import Ending, Rig, SourceOff
from commission.stages.pressure_hold.judge.beyond import PUMP_LEFT, with_source
from commission.stages.pressure_hold.state.attempt import hold_of
from commission.stages.pressure_hold.work.holds import Holds
from commission.stages.pressure_hold.work.rig import describe_rig
from tests.answers import HOLD
from tests.fakes import HandClock, new_book
from tests.registered import open_logbook
from tests.shell.arriving import Arriving
from tests.shell.running import called
from tests.ui.bench import asked, led

NORTH = "North 1.2 L digital 1 mbar 0.4 bar max 0.8 bar"


def at_the_steps() -> tuple[HoldFlow, Logbook, HandClock, str]:
    book, _, clock = new_book()
    build = quick_start(book, NORTH).do()
    flow = HoldFlow(book, build)
    led(flow, HOLD)
    return flow, book, clock, build


def test_a_rig_that_nobody_describes_has_a_valve_and_three_answers_about_the_source() -> None:
    flow, book, _, build = at_the_steps()
    assert hold_of(book.build(build)).rig is Rig.VALVED
    prompt = flow.now()
    assert prompt is not None
    assert "rig own gauge" in prompt.hint
    led(flow, ["", "", ""])
    assert asked(flow).startswith("How is the source off?")
    with pytest.raises(InputError):
        led(flow, [str(SourceOff.PUMP_LEFT)])


def test_a_pump_with_its_own_gauge_stays_on_and_no_valve_is_spoken_of() -> None:
    flow, book, clock, build = at_the_steps()
    led(flow, ["rig own gauge"])
    acts = []
    for _ in range(3):
        acts.append(asked(flow))
        led(flow, [""])
    assert not any("valve" in act for act in acts)
    assert "no stroke until the end" in acts[2]
    assert asked(flow).startswith("What stands behind the pump?")
    led(flow, ["1", "400"])
    hold = hold_of(book.build(build))
    assert (hold.running, hold.source) == (True, SourceOff.PUMP_LEFT)
    for _ in range(11):
        clock.run(300)
        led(flow, ["400"])
    verdict = book.work(Holds).close(build, Ending.PLANNED)
    assert verdict.outcome is Outcome.PASS
    assert PUMP_LEFT in verdict.reasons


def test_a_live_source_behind_a_rig_without_a_valve_is_refused() -> None:
    flow, book, _, build = at_the_steps()
    led(flow, ["rig own gauge", "", "", ""])
    with pytest.raises(InputError, match="a live source feeds the leak"):
        led(flow, ["2"])
    assert hold_of(book.build(build)).source is None
    for how in set(SourceOff) - {SourceOff.PUMP_LEFT}:
        with pytest.raises(NotAllowed, match="has no valve behind it"):
            book.work(Holds).isolate(build, how)


def test_a_hand_pump_left_on_does_not_go_with_a_rig_that_has_a_valve() -> None:
    _, book, _, build = at_the_steps()
    with pytest.raises(NotAllowed, match="describe the rig"):
        book.work(Holds).isolate(build, SourceOff.PUMP_LEFT)
    assert hold_of(book.build(build)).source is None


@pytest.mark.parametrize(
    ("described", "said", "rig"),
    [
        (Rig.VALVED, "hand pump left on", Rig.OWN_GAUGE),
        (Rig.OWN_GAUGE, "hose off", Rig.VALVED),
        (Rig.OWN_GAUGE, "hand pump left on", Rig.OWN_GAUGE),
    ],
)
def test_from_the_shell_the_answer_about_the_source_tells_the_rig(
    tmp_path: Path, arriving: Arriving, described: Rig, said: str, rig: Rig
) -> None:
    logbook = tmp_path / "bench.logbook"
    assert called("quick", *NORTH.split(), logbook=logbook).status == 0
    with contextlib.closing(open_logbook(logbook).book) as book:
        describe_rig(book.work(Holds), book.find_build("North"), described)
    feed = ("feed", "--build", "North", "--new", "--planned", "--source", said)
    fed = called(*feed, text="gauge [mbar]\n400\n", logbook=logbook)
    assert (fed.status, fed.lines) == (0, ["stored 1"])
    with contextlib.closing(open_logbook(logbook, read_only=True).book) as book:
        hold = hold_of(book.build(book.find_build("North")))
    assert (hold.running, hold.rig, hold.source) == (True, rig, said)


def test_a_gauge_on_the_source_side_is_refused_for_it_would_not_see_the_loop() -> None:
    flow, book, _, build = at_the_steps()
    before = book.head().seq
    with pytest.raises(InputError, match="shows the hose, not the loop"):
        led(flow, ["rig source side"])
    assert book.head().seq == before
    assert hold_of(book.build(build)).rig is Rig.VALVED


def test_another_rig_begins_the_steps_and_the_question_about_the_source_again() -> None:
    flow, book, _, build = at_the_steps()
    led(flow, ["", "", "", "1"])
    describe_rig(book.work(Holds), build, Rig.OWN_GAUGE)
    hold = hold_of(book.build(build))
    assert (hold.steps, hold.source) == ((), None)


def test_a_pump_that_stays_on_takes_no_fail_away() -> None:
    _, book, clock, build = at_the_steps()
    flow = HoldFlow(book, build)
    led(flow, ["rig own gauge", "", "", "", "1", "400"])
    for number in range(1, 5):
        clock.run(300)
        led(flow, [f"{400 - 40 * number} mbar"])
    verdict = book.work(Holds).verdict(book.build(build))
    assert verdict is not None
    assert with_source(verdict, SourceOff.PUMP_LEFT).outcome is Outcome.FAIL
