"""The bleed as a line and as a flow: cycles told back, what is missing, withdrawals, squeezing, the verdict."""

from typing import Any

import pytest

from commission.base.errors import InputError, NotAllowed
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.record.locks import counts
from commission.record.machine.noise import Noise
from commission.stages.bleed.card.bleed import BleedFlow, Phase
from commission.stages.bleed.card.squeeze import SqueezeForm
from commission.stages.bleed.model import Bubbles, GoneBy, PumpState
from commission.stages.bleed.state import BleedState
from commission.stages.bleed.typed import cycle_deed
from commission.stages.bleed.typed.cycle import CycleLine, read_cycle
from commission.stages.build_sheet.work import Sheet
from commission.stages.fill.card.fill import FillFlow
from commission.stages.fill.state import FillState
from commission.stages.fill.work.fills import Fills
from tests.answers import BLEED, FILL_AGAIN, FILL_PUMP
from tests.holds import RADIATOR
from tests.stages.fill.screen.coolant_bench import CONVERGING, KEPT, bleeding, filled, held, pouring
from tests.ui.bench import asked, led
from tests.ui.hostile import HOSTILE
from tests.wet_builds import end_fill


def phase_of(flow: BleedFlow) -> Phase:
    """Where the flow is now; a call, since mypy holds a property for constant."""
    return flow.phase


def outcome_of(flow: BleedFlow) -> Outcome:
    """What the bleed proves so far."""
    return flow.verdict.outcome


def test_the_words_of_a_cycle_may_stand_in_any_order() -> None:
    one = read_cycle("15 min 12 mL upright few gurgling 2400 rpm")
    two = read_cycle("gurgling few 2400rpm upright 12mL 15min")
    for line in (one, two):
        assert line.run is not None
        assert line.top_up is not None
        assert (line.run.si, line.top_up.si) == pytest.approx((900, 12e-6))
        assert (line.tilt, line.bubbles, line.noise, line.rpm) == ("upright", Bubbles.FEW, Noise.GURGLING, 2400)


def test_durations_in_pieces_add_and_commas_are_decimals() -> None:
    line = read_cycle("1 h 30 min 0,5mL ± 0,2 mL none quiet 60% tilt nose-down bursts at 23 degC # calm")
    assert line.run is not None
    assert line.top_up is not None
    assert line.error is not None
    assert line.at is not None
    assert (line.run.si, line.top_up.si, line.error.si) == pytest.approx((5400, 5e-7, 2e-7))
    assert (line.at.si, line.duty, line.tilt, line.pump) == (296.15, 0.6, "nose-down", PumpState.BURSTS)
    assert line.note == "calm"


@pytest.mark.parametrize("line", ["15 min 0 mL", "15 min nothing", "0,0 mL 15 min"])
def test_nothing_topped_up_is_an_answer(line: str) -> None:
    cycle = read_cycle(line)
    assert cycle.top_up is not None
    assert cycle.top_up.si == 0.0


@pytest.mark.parametrize(
    ("line", "asks"),
    [
        ("15 min 12", "of what"),
        ("15 min 3 mm", "breathe"),
        ("15 min 12 mL 13 mL", "twice"),
        ("few many 1 mL", "twice"),
        ("wobbly 12 mL", "not known"),
        ("12 oz", "two meanings"),
        ("fall", "type a value"),
        ("fall few", "no number"),
        ("12 mL 140 %", "outside"),
        ("12 parsec", "not a unit"),
        ("1 200 mL", "of what"),
    ],
)
def test_what_is_unclear_in_a_cycle_is_asked_about(line: str, asks: str) -> None:
    with pytest.raises(InputError, match=asks):
        read_cycle(line)


def test_the_bleed_is_locked_until_the_fill_has_passed() -> None:
    book, _, _, build = held()
    flow = BleedFlow(book, build)
    assert phase_of(flow) is Phase.LOCKED
    led(flow, [""])
    assert flow.go == "fill"


def test_enter_alone_does_not_say_that_the_inlet_is_covered() -> None:
    book, _, _, build = filled()
    flow = BleedFlow(book, build)
    led(flow, [*BLEED])
    with pytest.raises(InputError, match="type covered"):
        flow.answer("")
    led(flow, ["covered"])
    assert phase_of(flow) is Phase.BLEEDING


def test_no_override_lets_a_pump_run_dry() -> None:
    book, _, _, build = pouring()
    led(FillFlow(book, build), ["", "200 mL"])
    flow = BleedFlow(book, build)
    led(flow, ["override it is full, trust me", *FILL_PUMP, *BLEED])
    with pytest.raises(NotAllowed, match="could run dry"):
        flow.answer("covered")


def test_the_caution_about_a_dry_pump_is_asked_here_where_the_fill_ended_without_it() -> None:
    book, _, _, build = pouring()
    led(FillFlow(book, build), ["", "1.15 L"])
    end_fill(book, build)  # as older records hold it: by now the step with the pump asks for that caution
    flow = BleedFlow(book, build)
    assert phase_of(flow) is Phase.DRY_PUMP
    assert any("dry" in line.text for line in flow.content().cautions)
    led(flow, [*FILL_PUMP, *BLEED, "covered"])
    assert phase_of(flow) is Phase.BLEEDING


def test_what_nobody_saw_or_heard_is_said_and_not_made_up() -> None:
    book, _, clock, build = bleeding()
    clock.run(900)
    flow = BleedFlow(book, build)
    told = flow.bleeding.deed("15 min 40 mL").told
    assert "bubbles not looked for" in told
    assert "not listened" in told
    led(flow, ["15 min 40 mL left"])
    cycle = flow.hand.state.of(BleedState).cycles[-1].cycle
    assert (cycle.bubbles, cycle.noise, cycle.tilt) == (Bubbles.NOT_LOOKED, Noise.NOT_LISTENED, "left")
    assert "left" in flow.bleeding.deed("12 mL").told, "the position of the cycle before holds"


def test_a_top_up_is_a_pour_and_counts_in_the_loop_and_in_the_bottle() -> None:
    book, _, clock, build = filled()
    before = FillFlow(book, build)
    total, left = before.hand.fill_verdict.filled_m3, before.hand.left_m3(book.work(Fills).bottles[0])
    flow = BleedFlow(book, build)
    led(flow, [*BLEED, "covered"])
    clock.run(900)
    led(flow, ["15 min 40 mL"])
    assert (flow.hand.fill_verdict.filled_m3 - total) * 1e6 == pytest.approx(40, abs=0.1)
    assert (left - flow.hand.left_m3(book.work(Fills).bottles[0])) * 1e6 == pytest.approx(40, abs=0.1)


def test_a_fall_of_the_level_is_worth_the_area_of_the_reservoir() -> None:
    """Hand calculation: π/4 · 60² mm² · 3 mm are 8.482 mL."""
    book, _, clock, build = bleeding()
    clock.run(900)
    flow = BleedFlow(book, build)
    led(flow, ["15 min fall 3 mm none quiet breath 2 mm"])
    cycle = flow.hand.state.of(BleedState).cycles[-1].cycle
    assert cycle.gone_m3 * 1e6 == pytest.approx(8.482, abs=1e-3)
    assert cycle.gone_by is GoneBy.LEVEL_DROP
    assert cycle.start_fall_m3 is not None
    assert cycle.start_fall_m3 * 1e6 == pytest.approx(5.655, abs=1e-3)


def test_top_up_and_fall_together_would_count_the_air_twice() -> None:
    book, _, _, build = bleeding()
    with pytest.raises(InputError, match="twice"):
        BleedFlow(book, build).answer("15 min 12 mL fall 3 mm")


def test_too_few_and_not_converging_stand_in_the_figures() -> None:
    book, _, _, build = bleeding("30 min 40 mL many gurgling")
    figures = {one.label: one.value for one in BleedFlow(book, build).content().figures}
    assert figures["air left"] == "not known"
    book, _, _, build = bleeding(*["30 min 12 mL few gurgling"] * 4)
    figures = {one.label: one.value for one in BleedFlow(book, build).content().figures}
    assert figures["air left"] == "not converging"


def test_a_geometric_series_is_foreseen_and_the_card_says_what_is_missing() -> None:
    """40, 16, 6.4, 2.56 mL shrink by 0.4: 2.56 · 0.4 / 0.6 = 1.71 mL are to come (geometric series)."""
    book, _, _, build = bleeding(*CONVERGING)
    card = BleedFlow(book, build).content()
    row = next(one for one in card.figures if one.label == "air left")
    low, high = (float(text.split()[0]) for text in row.bounds.split(" to "))
    assert low <= 1.71 <= high
    assert float(row.value.split()[0]) == pytest.approx(1.71, abs=0.1)
    assert "3 more clean cycles" in card.missing
    assert "2 h more" in card.missing
    assert any(one.label == "first warm-up" and "no leak" in one.remark for one in card.figures)


def test_the_rule_is_kept_only_by_as_many_cycles_over_as_long_as_it_asks() -> None:
    book, _, clock, build = bleeding(*CONVERGING, *KEPT[:2])
    flow = BleedFlow(book, build)
    assert outcome_of(flow) is Outcome.INCONCLUSIVE
    for line in (KEPT[2], *KEPT[1:]):
        clock.run(3600)
        led(flow, [line])
    assert outcome_of(flow) is Outcome.PASS
    led(flow, [""])
    assert phase_of(flow) is Phase.AFTER
    assert asked(flow).startswith("Passed")
    assert flow.content().missing == ""


def test_a_bleed_without_an_answer_names_the_stage_that_is_open_and_leads_there() -> None:
    book, _, _, build = bleeding(*CONVERGING, *KEPT[:2])
    flow = BleedFlow(book, build)
    led(flow, ["end", ""])
    prompt = flow.now()
    assert prompt is not None
    assert prompt.proposal == "bleed", "Enter goes on with what is not done"
    assert prompt.hint.startswith("next: first power-on")
    led(flow, ["next"])
    assert flow.go == "first_power"


def test_a_bleed_that_ends_early_says_what_is_missing_and_goes_on_as_another_attempt() -> None:
    book, _, _, build = bleeding(*CONVERGING)
    flow = BleedFlow(book, build)
    led(flow, ["end"])
    assert "Still missing" in asked(flow)
    led(flow, ["", ""])
    assert phase_of(flow) is Phase.CAUTIONS
    led(flow, [*BLEED, "covered"])
    assert phase_of(flow) is Phase.BLEEDING
    assert flow.hand.state.run("bleed").attempt == 2
    assert flow.hand.state.of(BleedState).cycles == ()


def test_a_wrong_cycle_is_withdrawn_with_its_top_up() -> None:
    book, _, _, build = bleeding(*CONVERGING[:2])
    flow = BleedFlow(book, build)
    total = flow.hand.fill_verdict.filled_m3
    led(flow, ["undo"])
    assert ": cycle of 16 mL wrong?" in asked(flow)
    with pytest.raises(InputError, match="type why the entry is wrong"):
        flow.answer("undo")
    led(flow, ["read twice"])
    assert len(flow.hand.state.of(BleedState).cycles) == 1
    assert (total - flow.hand.fill_verdict.filled_m3) * 1e6 == pytest.approx(16, abs=0.1)


def test_a_level_read_after_a_cycle_is_withdrawn_before_it() -> None:
    book, _, _, build = bleeding(*CONVERGING[:2])
    flow = BleedFlow(book, build)
    led(flow, ["level 160 mm", "undo"])
    assert ": level 160 mm wrong?" in asked(flow)
    led(flow, ["read at the wrong mark", "undo"])
    assert ": cycle of 16 mL wrong?" in asked(flow)


def test_squeezing_is_asked_one_by_one_and_labelled_as_information() -> None:
    """Hand calculation: 6.0 mL from 101.3 to 131.3 kPa, rigid tubes: 25.8 mL of moist bubbles."""
    book, _, _, build = bleeding()
    flow = BleedFlow(book, build)
    before = flow.verdict.outcome
    led(flow, ["squeeze", "", "300 mbar", "6 mL ± 0.5 mL", "", "none", "0 mL"])
    assert flow.hand.state.of(BleedState).squeezes[-1].air.value * 1e6 == pytest.approx(25.8, abs=1.5)
    assert any(reason.startswith("For information, squeezed") for reason in flow.content().reasons)
    assert flow.verdict.outcome is before


def test_a_squeeze_above_the_weakest_part_is_refused_before_anything_is_stored() -> None:
    book, log, _, build = bleeding()
    flow = BleedFlow(book, build)
    led(flow, ["squeeze", ""])
    head = log.head()
    with pytest.raises(NotAllowed, match="above the rating"):
        flow.answer("1,2 bar")
    assert flow.back()
    assert flow.back()
    assert log.head() == head
    assert asked(flow).startswith("Run the pump")


def test_nothing_is_squeezed_while_a_part_has_no_rating() -> None:
    book, _, _, build = bleeding()
    book.work(Sheet).add_part(build, replace(RADIATOR, part_id="plate", name="old plate", max_gauge_pa=None))
    book.work(Sheet).leave_out(
        build, "plate", "no data sheet"
    )  # of the test with air; the coolant is in it all the same
    with pytest.raises(NotAllowed, match=r"no rating is known of old plate\. Rate it first"):
        SqueezeForm(BleedFlow(book, build).hand)


def test_a_spill_while_bleeding_says_that_the_fill_must_be_judged_again() -> None:
    book, _, _, build = bleeding(*CONVERGING[:1])
    flow = BleedFlow(book, build)
    assert "judged again" in flow.bleeding.deed("spill 3 mL from filler").told
    led(flow, ["spill 3 mL from filler"])
    assert phase_of(flow) is Phase.LOCKED
    fill = FillFlow(book, build)
    led(fill, ["", *FILL_AGAIN])
    led(fill, ["", "10 mL", "", *FILL_PUMP, "", "dry", "end", ""])
    assert BleedFlow(book, build).phase is Phase.BLEEDING


def test_a_spill_beside_the_filler_while_bleeding_changes_the_balance_and_the_bleed_goes_on() -> None:
    book, _, _, build = bleeding(*CONVERGING[:1])
    flow = BleedFlow(book, build)
    before = flow.hand.state.of(FillState).movements
    assert "judged again" not in flow.bleeding.deed("spill 3 mL").told
    led(flow, ["spill 3 mL"])
    assert phase_of(flow) is Phase.BLEEDING
    assert counts(book.build(build), "fill")
    assert len(flow.hand.state.of(FillState).movements) == len(before) + 1


def test_a_bleed_that_may_be_a_drip_says_where_to_look_and_bleeds_on() -> None:
    book, _, _, build = bleeding(*["30 min 1 mL none quiet"] * 6)
    flow = BleedFlow(book, build)
    led(flow, ["end", "end"])
    assert "look at every joint" in asked(flow)
    assert (line := flow.card().verdict) is not None
    assert line.word == "inconclusive"
    assert "may be a drip" in line.text


@pytest.mark.parametrize("text", [text for text in HOSTILE if text.strip()])
def test_no_typed_text_breaks_a_cycle_or_changes_the_log(text: str) -> None:
    book, log, _, build = bleeding()
    flow = BleedFlow(book, build)
    head = log.head()
    prompt = flow.now()
    assert prompt is not None
    for line in (text, f"12 mL {text}", f"fall {text}", f"bottle {text}"):
        with pytest.raises((InputError, NotAllowed)):
            prompt.understand(line)
    assert log.head() == head


def test_a_cycle_is_read_once_from_the_look_at_it_to_its_entry(monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[str] = []

    def reading(text: str, **more: Any) -> CycleLine:
        read.append(text)
        return read_cycle(text, **more)

    monkeypatch.setattr(cycle_deed, "read_cycle", reading)
    book, _, clock, build = bleeding()
    clock.run(1800)
    flow = BleedFlow(book, build)
    prompt = flow.now()
    assert prompt is not None
    told = prompt.understand("30 min 12 mL few quiet")
    assert flow.answer("30 min 12 mL few quiet").endswith(f"· {told}")
    assert read == ["30 min 12 mL few quiet"]


def test_minutes_that_the_clock_has_no_room_for_are_asked_about_and_not_disbelieved_in_silence() -> None:
    book, log, clock, build = bleeding("30 min 12 mL few quiet")
    clock.run(12 * 60 + 20)
    flow = BleedFlow(book, build)
    head = log.head()
    led(flow, ["30 min 4 mL few quiet"])
    assert log.head() == head, "nothing is stored before it is answered"
    assert asked(flow) == (
        "You typed 30 min of running, but only 12 min by the clock since the cycle before. How long did the pump run?"
    )
    with pytest.raises(InputError):
        flow.answer("a while")
    led(flow, [""])
    cycle = flow.hand.state.of(BleedState).cycles[-1].cycle
    assert (cycle.run_s, round(cycle.gone_m3 * 1e6)) == (720.0, 4)


def test_minutes_that_were_not_typed_are_not_said_to_be_typed() -> None:
    book, _, _, build = bleeding()
    flow = BleedFlow(book, build)
    led(flow, ["8 mL"])
    assert asked(flow).startswith("You typed no minutes; 15 min of running are taken then, but only 0 min")


def test_a_list_of_what_a_cycle_showed_may_have_commas() -> None:
    line = read_cycle("10 min, 8,5 mL, few, quiet,")
    assert (line.run, line.top_up) == (read_cycle("10 min").run, read_cycle("8,5 mL").top_up)
    assert (str(line.bubbles), str(line.noise)) == ("few", "quiet")


@pytest.mark.parametrize(("answer", "run_s"), [("keep", 1800.0), ("5 min", 300.0), ("0", 0.0)])
def test_minutes_that_were_asked_about_are_as_they_are_answered(answer: str, run_s: float) -> None:
    book, _, _, build = bleeding()
    flow = BleedFlow(book, build)
    led(flow, ["30 min 4 mL few quiet", answer])
    assert [one.cycle.run_s for one in flow.hand.state.of(BleedState).cycles] == [run_s]


def test_esc_leaves_the_question_about_minutes_and_a_pump_that_stood_is_not_asked_about() -> None:
    book, log, _, build = bleeding()
    flow = BleedFlow(book, build)
    head = log.head()
    led(flow, ["30 min 4 mL few quiet"])
    assert flow.step_back()
    assert asked(flow).startswith("Run the pump")
    assert log.head() == head
    led(flow, ["30 min 4 mL none quiet stopped"])
    assert len(flow.hand.state.of(BleedState).cycles) == 1
