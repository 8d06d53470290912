"""A sweep typed level by level: what is asked, what it proves, what is offered where a header does not control."""

from pathlib import Path
from typing import Any

import pytest

from commission.base.errors import CommissionError, NotAllowed
from commission.base.verdict import Outcome
from commission.stages.fan_headers.at_hand import View
from commission.stages.fan_headers.card import sweep_running
from commission.stages.fan_headers.card.headers import HeadersFlow
from commission.stages.fan_headers.entries import SweepAborted, SweepSource
from commission.stages.fan_headers.model.sweep import Direction, SweepReading, SweepWord
from commission.stages.fan_headers.rows.show_headers import headers_lines
from commission.stages.fan_headers.state import FanHeadersState
from commission.stages.fan_headers.typed.sweep import level_line
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from tests.fakes import new_book
from tests.power_builds import powered_build, pump
from tests.stages.fan_headers.screen.headers_bench import DOWN_AND_UP, PLUGGED, PLUGGING, SWEEPING, plugged, powered
from tests.ui.bench import asked, led

FLAT = ("1497", "1490", "1495", "1492", "1497", "1496", "1490", "1492", "1495", "1497", "1495")
"""A fan that runs at full speed whatever the duty."""


def refused(flow: HeadersFlow, line: str) -> str:
    """Why a line is refused."""
    with pytest.raises(CommissionError) as error:
        flow.answer(line)
    return str(error.value)


def test_duties_are_asked_down_and_then_up_and_every_level_is_stored_at_once() -> None:
    flow, book, _, build = plugged(*SWEEPING)
    wanted = [100, 80, 60, 50, 40, 30, 40, 50, 60, 80, 100]
    for duty, speed in zip(wanted, DOWN_AND_UP, strict=True):
        assert asked(flow).startswith(f"Set {duty} %")
        flow.answer(speed)
        at_hand = book.build(build).of(FanHeadersState).sweeping
        assert at_hand is not None
        assert at_hand.readings[-1].rpm == float(speed)
    assert "Both ways are read" in asked(flow)
    ways = [one.direction for one in flow.sweeping.readings]
    assert ways == [Direction.DOWN] * 6 + [Direction.UP] * 5


def test_the_word_and_what_is_missing_stand_there_after_each_level() -> None:
    flow, _, _, _ = plugged(*SWEEPING, *DOWN_AND_UP[:3])
    verdict = flow.card().verdict
    assert verdict is not None
    assert verdict.text.startswith("Add 2 more levels")
    led(flow, DOWN_AND_UP[3:6])
    verdict = flow.card().verdict
    assert verdict is not None
    assert verdict.text.startswith("Controlled.")
    assert flow.card().plot


def test_a_sweep_ends_with_its_word_and_the_duty_to_leave_it_at() -> None:
    # speeds of a worked example: half the fans' way up differs by 7 rpm at most, full speed by 2 rpm
    flow, book, _, build = plugged(*SWEEPING, *DOWN_AND_UP, "")
    taken = book.build(build).of(FanHeadersState).sweeps[-1].taken
    assert (taken.verdict.outcome, taken.verdict.word) == (Outcome.PASS, SweepWord.CONTROLLED)
    assert taken.verdict.hysteresis_rpm == 7
    assert taken.verdict.repeat_rpm == 2
    assert taken.source is SweepSource.TYPED
    card = flow.card()
    assert flow.hand.view is View.RESULT
    assert {row.label: row.value for row in card.figures}["keep at least"] == "30 %"
    assert flow.picture[0] is not None, "the plot is drawn again from the record"


def test_the_stall_is_only_looked_for_where_it_is_asked_for() -> None:
    # the same worked example with 20 % on both ways: it stops between 20 and 30 %, starts at 40 %, advised 50 %
    flow, book, _, build = plugged(*SWEEPING, *DOWN_AND_UP[:6])
    assert "type stall first" in refused(flow, "20 0")
    led(flow, ["stall"])
    assert asked(flow).startswith("Set 20 %")
    led(flow, ["20 0", "30 0", *DOWN_AND_UP[6:], ""])
    stops = book.build(build).of(FanHeadersState).sweeps[-1].taken.verdict.stops
    assert (stops.stop_pct, stops.runs_pct, stops.start_pct, stops.minimum_pct) == (20, 30, 40, 50)
    assert any(row.label == "stops at" and row.bounds == "starts at 40 %" for row in flow.card().figures)


def test_a_window_that_closes_in_the_middle_goes_on_where_it_was() -> None:
    flow, book, _, build = plugged(*SWEEPING, *DOWN_AND_UP[:4])
    again = HeadersFlow(book, build)
    assert again.in_sweep
    assert asked(again).startswith("Set 40 %")
    led(again, [*DOWN_AND_UP[4:], ""])
    assert len(book.build(build).of(FanHeadersState).sweeps) == 1
    assert flow is not again


def test_a_level_that_was_mistyped_is_withdrawn_and_asked_again() -> None:
    flow, book, _, build = plugged(*SWEEPING, *DOWN_AND_UP[:2], "9850")
    assert asked(flow).endswith("rpm of the nameplate. Is it right?")
    led(flow, ["no", "9850", "yes", "undo"])
    assert "60 %: 9850 rpm" in asked(flow)
    led(flow, [""])
    assert asked(flow).startswith("Set 60 %")
    assert [one.rpm for one in flow.sweeping.readings] == [1498, 1258]
    assert len(book.build(build).withdrawn) == 1
    led(flow, ["undo", "", "undo", ""])
    assert flow.in_sweep
    led(flow, ["undo"])
    assert "sweep begun" in asked(flow)
    led(flow, ["the wrong chain"])
    assert not flow.in_sweep


def test_a_sweep_that_is_ended_early_is_asked_about_first() -> None:
    flow, book, _, build = plugged(*SWEEPING, *DOWN_AND_UP[:2])
    flow.answer("end")
    assert "60 % and what follows is not read" in asked(flow)
    assert flow.back()
    assert asked(flow).startswith("Set 60 %")
    led(flow, ["end", ""])
    verdict = book.build(build).of(FanHeadersState).sweeps[-1].taken.verdict
    assert verdict.word is SweepWord.INSUFFICIENT
    assert "add or repair" in asked(flow)


@pytest.mark.parametrize(("lines", "word"), [((), "end"), ((), "abort"), (("80 1258",), "end")])
def test_a_sweep_that_cannot_be_judged_is_aborted_with_a_reason(lines: tuple[str, ...], word: str) -> None:
    flow, book, _, build = plugged(*SWEEPING, *lines, word)
    assert "Why is the sweep of front aborted?" in asked(flow)
    assert flow.back()
    assert book.build(build).of(FanHeadersState).sweeping is not None
    led(flow, [word, "took the wrong chain"])
    state = book.build(build)
    assert state.of(FanHeadersState).sweeping is None
    assert state.of(FanHeadersState).sweeps == ()
    aborted = book.log.entries_of_kind(SweepAborted.KIND)
    assert [one.payload for one in aborted] == [
        SweepAborted(chain_id=state.plugged.chains[-1].chain_id, reason="took the wrong chain")
    ]
    assert not flow.in_sweep


def test_enter_aborts_an_empty_sweep_and_a_sweep_with_full_speed_may_be_aborted_too() -> None:
    flow, book, _, build = plugged(*SWEEPING, "end", "")
    assert book.build(build).of(FanHeadersState).sweeping is None
    led(flow, ["sweep front", "1498", "abort", "the fan was moved"])
    assert book.build(build).of(FanHeadersState).sweeping is None
    with pytest.raises(NotAllowed, match="no sweep was begun"):
        book.work(FanHeaders).sweeps.abort_sweep(build, "again")


def test_what_was_read_in_a_sweep_that_is_given_up_is_shown_with_the_reason() -> None:
    _, book, _, build = plugged(*SWEEPING, "1498", "80 1258", "abort", "the fan was moved", "sweep front", "1490")
    book.work(FanHeaders).sweeps.begin_sweep(build, book.build(build).plugged.chains[-1].chain_id)
    told = [line for line in headers_lines(book, book.build(build)) if str(line).startswith("sweep aborted: ")]
    assert told == [
        "sweep aborted: front on SYS1, 2 readings: 100 % 1498 rpm, 80 % 1258 rpm; the fan was moved",
        "sweep aborted: front on SYS1, 1 reading: 100 % 1490 rpm; another sweep was begun",
    ]


def test_undo_right_after_undo_is_no_reason() -> None:
    flow, book, _, build = plugged(*SWEEPING, "1498", "undo")
    assert "type why the entry is wrong" in refused(flow, "undo")
    assert "looks like a reading" in refused(flow, "80 1258")
    assert not book.build(build).withdrawn


@pytest.mark.parametrize(
    ("answer", "word"),
    [("yes", SweepWord.NO_TACH), ("no", SweepWord.NOT_TURNING), ("unknown", SweepWord.NO_READING)],
)
def test_a_silent_tach_asks_whether_the_blades_turn(answer: str, word: SweepWord) -> None:
    flow, book, _, build = plugged(
        *SWEEPING, *(f"{duty} 0" for duty in (100, 80, 60, 50, 40, 30, 40, 50, 60, 80, 100)), ""
    )
    assert "do the blades turn?" in asked(flow)
    assert "type yes, no, or unknown" in refused(flow, "maybe")
    led(flow, [answer])
    assert book.build(build).of(FanHeadersState).sweeps[-1].taken.verdict.word is word


# --- a header that does not control --------------------------------------------------------------------------


def test_every_cause_is_listed_and_the_sweep_is_offered_again() -> None:
    flow, _, _, _ = plugged(*SWEEPING, *FLAT, "")
    card = flow.card()
    assert card.verdict is not None
    assert card.verdict.word == "fail"
    causes = [line for line in card.reasons if line.startswith("Cause ")]
    assert len(causes) == 2, "a tach on another header, and firmware that overrides; wires and mode are in order"
    prompt = flow.now()
    assert prompt is not None
    assert prompt.proposal == "sweep front", "there is no other header to offer"
    assert "Without front the rest fits" in prompt.ask


def test_a_mode_that_the_record_contradicts_is_offered_first_and_the_sweep_asked_for_again() -> None:
    book, _, _, build = powered()
    flow = HeadersFlow(book, build)
    led(flow, ["header SYS1 4-pin 2 A pwm/voltage set pwm", "chain rear 3-wire 0.15 A start 0.3 A 1500 rpm"])
    led(flow, ["plug rear SYS1", "", "", "", "", "sweep rear", "", "", "", *FLAT, ""])
    prompt = flow.now()
    assert prompt is not None
    assert prompt.proposal == "set SYS1 voltage"
    assert "is set to pwm, rear is driven by voltage" in prompt.ask
    assert any("3-wire fan on a header in PWM mode" in line for line in flow.card().reasons)
    led(flow, [""])
    assert asked(flow) == "Sweep rear on SYS1 again: its header or its setting was changed. Enter begins."
    led(flow, ["", *DOWN_AND_UP, ""])
    assert any(
        line.startswith("First pwm, then voltage: Only the second mode controls it") for line in flow.card().reasons
    )


def test_the_best_legal_header_is_offered_where_the_mode_is_right() -> None:
    book, _, _, build = powered()
    flow = HeadersFlow(book, build)
    led(flow, [*PLUGGED, "header SYS2 4-pin 2 A pwm", *PLUGGING, *SWEEPING, *FLAT, ""])
    prompt = flow.now()
    assert prompt is not None
    assert prompt.proposal == "plug front SYS2"
    led(flow, [""])
    assert "Sweep front on SYS2 again" in asked(flow)
    assert flow.hand.swept.sweep_of(flow.hand.plugged.chains[-1].chain_id) is None, (
        "the sweep on the old header counts no longer"
    )


def test_moving_the_chain_in_the_middle_gives_the_sweep_up() -> None:
    flow, book, _, build = plugged("header SYS2 4-pin 2 A pwm", *SWEEPING, *DOWN_AND_UP[:3])
    chain = flow.hand.plugged.chains[-1]
    book.work(FanHeaders).seats.move(build, chain.chain_id, flow.hand.plugged.headers[1].header_id)
    flow.refresh()
    assert not flow.in_sweep
    assert "Sweep front on SYS2" in asked(flow)


# --- from a file ---------------------------------------------------------------------------------------------


def test_a_whole_sweep_is_taken_from_a_file(tmp_path: Path) -> None:
    path = tmp_path / "front.csv"
    duties = (100, 80, 60, 50, 40, 30)
    rows = [f"{duty},{speed},down" for duty, speed in zip(duties, DOWN_AND_UP[:6], strict=True)]
    rows += [f"{duty},{speed},up" for duty, speed in zip((40, 50, 60, 80, 100), DOWN_AND_UP[6:], strict=True)]
    path.write_text("\n".join(["duty [%],speed [rpm],direction", *rows]), encoding="utf-8")
    flow, book, _, build = plugged(*SWEEPING)
    said = flow.answer(f"file {path}")
    assert said == "front: controlled, from 11 readings of front.csv"
    assert book.build(build).of(FanHeadersState).sweeps[-1].taken.source is SweepSource.FILE


def test_a_file_that_is_missing_or_wrong_stores_nothing(tmp_path: Path) -> None:
    flow, book, _, build = plugged(*SWEEPING)
    assert "type file and the path" in refused(flow, "file")
    assert "there is no file" in refused(flow, f"file {tmp_path / 'gone.csv'}")
    assert "there is no file" in refused(flow, f"file {tmp_path}")
    bad = tmp_path / "bad.csv"
    bad.write_text("duty [%],speed [rpm]\n120,1500\n", encoding="utf-8")
    assert "line 2" in refused(flow, f"file {bad}")
    assert book.build(build).of(FanHeadersState).sweeps == ()
    assert flow.in_sweep


# --- pumps ---------------------------------------------------------------------------------------------------


def test_a_pump_is_never_asked_below_what_its_maker_allows_nor_for_its_stall() -> None:
    book, _, clock = new_book()
    flow = HeadersFlow(book, powered_build(book, clock, seated=pump(lowest_duty_pct=45.0)))
    led(flow, ["sweep pump", "", "", ""])
    assert flow.sweeping.floor_pct == 45
    assert "no stall is looked for" in refused(flow, "stall")
    assert "by its maker" in refused(flow, "40 3000")
    led(flow, ["4700", "4700", "4700", "4700"])
    assert asked(flow).startswith("Set 45 %")


def test_a_pump_whose_lowest_duty_nobody_knows_is_not_swept() -> None:
    book, _, clock = new_book()
    flow = HeadersFlow(book, powered_build(book, clock, seated=pump(control_wanted=True)))
    assert "least 40 %" in refused(flow, "sweep pump")


# --- duties and the end --------------------------------------------------------------------------------------


def test_a_duty_below_the_smallest_advised_is_warned_of_and_its_sound_is_an_estimate() -> None:
    flow, book, _, build = plugged(*SWEEPING, *DOWN_AND_UP, "")
    prompt = flow.now()
    assert prompt is not None
    told = prompt.understand("leave front 25 400")
    assert "below the 30 %" in told
    assert "No pass while it stays so" in told
    assert "type the reason" in refused(flow, "leave front 25 400 override")
    led(flow, ["leave front 25 400"])
    assert book.work(FanHeaders).verdict(book.build(build)).outcome == "inconclusive"
    led(flow, ["leave front 25 400 override it starts at 20 %, tried"])
    assert book.work(FanHeaders).verdict(book.build(build)).outcome == "pass"
    led(flow, ["board"])
    assert any("Let be: it starts at 20 %, tried" in line for line in flow.card().notices)
    led(flow, ["leave front 25 400"])
    card = flow.card()
    assert any("below the 30 %" in notice for notice in card.notices)
    led(flow, ["leave front 70 % 1048 rpm"])
    card = flow.card()
    # 50 log10(1048/1497) = -7.74 and 55 log10 of it -8.52 by hand: 8 to 9 dB
    assert "ESTIMATE: 8 to 9 dB quieter" in card.figures[0].remark
    assert card.notices == ()
    assert any("no tones of bearings" in line for line in card.reasons)
    assert len(book.build(build).of(FanHeadersState).duties) == 1
    assert "outside 0 to 100" in refused(flow, "leave front 120")
    assert "type the duty" in refused(flow, "leave front")


def test_the_stage_closes_over_all_chains() -> None:
    flow, book, _, build = plugged(*SWEEPING, *DOWN_AND_UP, "", "leave front 45 640")
    prompt = flow.now()
    assert prompt is not None
    assert prompt.proposal == "end"
    led(flow, [""])
    assert flow.hand.closed is Outcome.PASS
    card = flow.card()
    assert card.verdict is not None
    assert card.verdict.final
    assert card.cautions == (), "those of a next attempt are not due, and none of this one is open"
    assert book.build(build).runs["fan_headers"][-1].outcome is Outcome.PASS
    assert asked(flow).startswith("Ended: PASS")


def test_a_close_that_does_not_pass_is_asked_about_and_a_later_move_takes_its_worth() -> None:
    flow, book, _, build = plugged("header SYS2 4-pin 2 A pwm", *SWEEPING, *FLAT, "", "end")
    assert asked(flow).startswith("FAIL: front on SYS1: ignores control.")
    assert flow.back()
    outcomes = []
    for lines in (
        ["end", ""],
        ["plug front SYS2", "", "", "", "plug front SYS2"],
        ["sweep front", "", "", "", *DOWN_AND_UP, "", "end"],
    ):
        led(flow, lines)
        outcomes.append(flow.hand.closed)
    assert outcomes == [Outcome.FAIL, None, Outcome.PASS]
    assert book.build(build).runs["fan_headers"][-1].attempt == 2


def test_a_level_is_read_once_from_the_look_at_it_to_its_entry(monkeypatch: pytest.MonkeyPatch) -> None:
    flow, book, _, build = plugged(*SWEEPING)
    lines: list[str] = []

    def counted(text: str, *more: Any) -> tuple[SweepReading, ...]:
        lines.append(text)
        return level_line(text, *more)

    monkeypatch.setattr(sweep_running, "level_line", counted)
    prompt = flow.now()
    assert prompt is not None
    told = prompt.understand("100 1497")
    assert "1497 rpm" in told
    flow.answer("100 1497")
    assert lines == ["100 1497"]
    at_hand = book.build(build).of(FanHeadersState).sweeping
    assert at_hand is not None
    assert [(one.duty_pct, one.rpm) for one in at_hand.readings] == [(100.0, 1497.0)]
