"""A pass says nothing of what happened between its readings, where nobody read or somebody noted it."""

from collections.abc import Callable
from pathlib import Path

import pytest

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.record.logbook import Logbook
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.judge.beyond import with_between
from commission.stages.pressure_hold.model import HoldVerdict
from commission.stages.pressure_hold.shell.basis import Seen
from commission.stages.pressure_hold.shell.feed_begin import as_planned
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import new_book
from tests.holds import PLAN, air_reads, gauge_reads, prepare_hold, ready_build, start_hold
from tests.shell.running import called

FILE = "# volume: 1.2 L\n# source: hose off\n# gauge step: 0.1 mbar\nelapsed [min],gauge [mbar],air [degC],note\n"


def held(*readings: tuple[float, str]) -> HoldVerdict:
    """Return the verdict on readings spread over half an hour, each with its note."""
    book, _, clock = new_book()
    build = ready_build(book)
    start_hold(book, build)
    for mbar, note in readings:
        book.work(Holds).read(build, pressure=gauge_reads(mbar), air=air_reads(21.0), note=note)
        clock.run(1800 / (len(readings) - 1))
    return closed(book, build)


def closed(book: Logbook, build: str) -> HoldVerdict:
    return book.work(Holds).close(build, Ending.PLANNED)


def test_two_readings_are_no_pass_and_three_are() -> None:
    two = held((500.0, ""), (500.0, ""))
    assert (two.outcome, two.reasons[0].code) == (Outcome.INCONCLUSIVE, "too_few_to_pass")
    assert held((500.0, ""), (500.0, ""), (500.0, "")).outcome is Outcome.PASS


def test_a_hold_that_nobody_read_in_most_of_its_time_is_no_pass() -> None:
    """Four hours, of which all but the first 12 and the last 14 minutes: 214 of 240 minutes are more than 160."""
    sound = held((500.0, ""), (500.0, ""), (500.0, ""))
    ends_s = [60.0 * one for one in (0, 4, 8, 12, 226, 233, 240)]
    verdict = with_between(sound, (), ends_s)
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "gap_in_the_hold")
    assert [amount.si for amount in verdict.reasons[0].amounts] == [214 * 60, 240 * 60]
    assert with_between(sound, (), sorted([*ends_s, 100 * 60.0])).outcome is Outcome.PASS


def test_a_file_that_begins_far_below_the_planned_pressure_does_not_plan_its_own() -> None:
    """300 mbar are 60 % of the 500 that were planned."""
    book, _, _ = new_book()
    build = ready_build(book)
    prepare_hold(book, build)
    for mbar, target in ((290.0, 500.0), (310.0, 310.0)):
        seen = Seen(
            absolute=False, unit="mbar", target_gauge_pa=100 * mbar, hold_s=1800.0, gauge_step_pa=10.0,
            air_step_k=0.1, barometer_step_pa=None,
        )  # fmt: skip
        assert as_planned(book.build(build), "Desk", seen).target_gauge_pa == 100 * target


@pytest.mark.parametrize(
    "note",
    [
        "pumped up again", "topped it up", "had to Pump Up once more", "re: pumped again {0}", "re-pressurised",
        "added air", "opened valve a moment", "topped to 500", "gave it two strokes", "hose squeezed",
    ],
)  # fmt: skip
def test_a_note_that_it_was_pumped_up_again_is_no_pass(note: str) -> None:
    verdict = held((500.0, "pumped up at noon"), (500.0, note), (500.0, ""), (499.9, ""))
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "noted_pumped_again")
    assert [amount.si for amount in verdict.reasons[0].amounts] == [600]


@pytest.mark.parametrize(
    ("note", "heard"), [("hiss at block", True), ("bubbles", True), ("whistles", True), ("no hiss heard", False)]
)
def test_a_note_that_air_was_heard_or_seen_is_no_pass(note: str, *, heard: bool) -> None:
    verdict = held((500.0, ""), (500.0, note), (500.0, ""), (499.9, ""))
    assert (verdict.outcome is Outcome.INCONCLUSIVE) is heard
    assert ("noted_leaking" in {reason.code for reason in verdict.reasons}) is heard


@pytest.mark.parametrize("note", ["tightened a fitting", "gauge swapped", "re-seated the cap"])
def test_a_note_that_a_hand_was_at_it_is_no_pass(note: str) -> None:
    verdict = held((500.0, ""), (500.0, note), (500.0, ""), (499.9, ""))
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "noted_worked_at")


def held_while(happens: Callable[[Logbook, str], object]) -> HoldVerdict:
    """Return the verdict on a steady hold in whose middle something is recorded."""
    book, _, clock = new_book()
    build = ready_build(book)
    start_hold(book, build)
    for number in range(4):
        book.work(Holds).read(build, pressure=gauge_reads(500.0), air=air_reads(21.0))
        if number == 1:
            happens(book, build)
        clock.run(600)
    return closed(book, build)


def test_a_note_that_bars_a_pass_does_so_after_it_was_withdrawn_and_says_so() -> None:
    def note_and_withdraw(book: Logbook, build: str) -> None:
        for note in ("pumped up again", "door open"):
            book.withdraw(book.add_note(build, note).seq, "typo")

    verdict = held_while(note_and_withdraw)
    assert verdict.outcome is Outcome.INCONCLUSIVE
    assert "pumped up again (withdrawn)" in verdict.reasons[0].template
    assert all("door open" not in reason.template for reason in verdict.reasons)


def test_a_gauge_that_is_found_coarser_while_it_is_held_is_no_pass() -> None:
    coarser = replace(PLAN.gauge, resolution=500.0)  # 5 mbar, where the plan counts with 0.1
    verdict = held_while(lambda book, _: book.add_instrument(coarser))
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "instrument_coarser_than_planned")


def test_other_notes_stand_beside_the_pass_and_what_was_noted_at_the_start_does_not() -> None:
    verdict = held((500.0, "pumped up"), (500.0, "door open"), (500.0, "door shut"), (499.9, "pump off, all still"))
    assert verdict.outcome is Outcome.PASS
    assert [reason.template for reason in verdict.reasons if reason.code == "noted"] == [
        'Noted at {0}: "door shut".',
        'Noted at {0}: "pump off, all still".',
    ]


def test_the_notes_of_a_file_count_as_well(tmp_path: Path) -> None:
    rows = [f"{5 * n},{500 - 0.01 * n:.1f},21.0,{'pumped up again' if n == 4 else ''}" for n in range(9)]
    file = tmp_path / "hold.csv"
    file.write_text(FILE + "\n".join(rows) + "\n", encoding="utf-8")
    judged = called("judge", "hold", str(file))
    assert (judged.status, judged.lines[0]) == (3, "verdict: inconclusive")
    assert 'reason: Noted at 20 min: "pumped up again".' in judged.out
    file.write_text(FILE + "0,500.0,21.0,\n60,499.9,21.0,\n", encoding="utf-8")
    assert "reason: Two readings do not show what happened between them." in called("judge", "hold", str(file)).out
