"""Planning a hold: how the volume is known, what the gauge is, which limit by name, and the time that decides."""

import pytest

from commission.base.errors import InputError, NotAllowed
from commission.base.frozen import replace
from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.record.machine.instrument import GaugeFace, Instrument, InstrumentKind
from commission.stages.fill.work.fills import Fills
from commission.stages.pressure_hold.at_hand import HoldAtHand
from commission.stages.pressure_hold.card.hold import HoldFlow, Phase
from commission.stages.pressure_hold.card.plan import changed
from commission.stages.pressure_hold.card.whole_plan import whole_plan
from commission.stages.pressure_hold.entries import Ending, HoldPlan
from commission.stages.pressure_hold.state.attempt import hold_of
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import new_book
from tests.holds import GAUGE as OLD_GAUGE
from tests.holds import PLAN, gauge_reads, prepare_hold, ready_build, start_hold, type_hold
from tests.ui.bench import GAUGE, asked, led, with_parts
from tests.wet_builds import answer, filled_build, pour, pouring_build

VOLUME = "1.2 L ± 5 %"
WITHOUT = ("none", "none")
"""Neither thermometer nor barometer."""


def planned(*lines: str) -> tuple[HoldFlow, Logbook]:
    """A flow that is led by these lines."""
    book, _, _, build = with_parts()
    flow = HoldFlow(book, build)
    led(flow, lines)
    return flow, book


# --- the volume ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("answer", "half_ml", "basis"),
    [("", 360, "guessed"), ("3", 360, "guessed"), ("2", 120, "data sheets"), ("measured", 72, "measured on air")],
)
def test_how_a_volume_is_known_is_asked_and_decides_its_uncertainty(answer: str, half_ml: float, basis: str) -> None:
    # our choice, table of the domain: guessed ± 30 % at 95 %, data sheets ± 10 %, measured ± 6 %, of 1200 mL
    flow, _ = planned("1.2 L")
    assert "How is the volume" in asked(flow)
    led(flow, [answer, *GAUGE, *WITHOUT])
    plan = flow.hand.plan_draft
    assert plan is not None
    assert plan.volume_basis == basis
    assert 2 * plan.u_volume_m3 * 1e6 == pytest.approx(half_ml)


def test_a_volume_that_says_how_good_it_is_asks_no_more() -> None:
    for typed, half_ml in ((VOLUME, 60), ("1.2 L data sheets", 120), ("1,2 L ± 5 % data sheets", 60)):
        flow, _ = planned(typed, *GAUGE, *WITHOUT)
        plan = flow.hand.plan_draft
        assert plan is not None
        assert 2 * plan.u_volume_m3 * 1e6 == pytest.approx(half_ml)


def test_esc_takes_a_volume_back_before_it_is_known_how() -> None:
    flow, _ = planned("1.2 L")
    assert flow.back()
    assert "By which volume" in asked(flow)


def test_a_volume_changed_in_the_plan_counts_as_guessed_until_it_is_said_how_it_is_known() -> None:
    flow, _ = planned(VOLUME, *GAUGE, *WITHOUT, "volume 1.4 L")
    assert flow.hand.plan_draft is not None
    assert flow.hand.plan_draft.volume_basis == "guessed"
    led(flow, ["volume 1.4 L data sheets"])
    assert flow.hand.plan_draft.volume_basis == "data sheets"


# --- the gauge -------------------------------------------------------------------------------------------------------


def test_a_dial_is_asked_for_its_marks_and_whether_it_is_tapped() -> None:
    flow, book = planned(VOLUME, "dial")
    assert "two marks" in asked(flow)
    for text in ("20", "20 mbar", "0 mbar mark", "20 mbar half"):
        with pytest.raises(InputError):
            flow.answer(text)
    led(flow, ["20 mbar quarter"])
    assert {figure.label: figure.value for figure in flow.content().figures}["step"] == "5 mbar"
    assert "tap the dial" in asked(flow)
    prompt = flow.now()
    assert prompt is not None
    assert prompt.proposal is None
    led(flow, ["no", ""])
    gauge = book.shop().instruments[-1]
    assert (gauge.face, gauge.tapped) == (GaugeFace.DIAL, False)
    assert (gauge.division, gauge.resolution) == pytest.approx((2_000, 500))


def test_a_digital_gauge_is_asked_nothing_more_and_its_face_is_stored() -> None:
    flow, book = planned(VOLUME, *GAUGE)
    assert book.shop().instruments[-1].face is GaugeFace.DIGITAL
    assert "thermometer" in asked(flow)


def test_a_gauge_that_was_described_before_faces_were_asked_is_asked_when_it_is_planned() -> None:
    book, _, _, build = with_parts()
    book.add_instrument(replace(OLD_GAUGE, resolution=1_000))
    flow = HoldFlow(book, build)
    led(flow, [VOLUME])
    assert "digits or a needle" in asked(flow)
    led(flow, ["dial", "", "yes", *WITHOUT, "", ""])
    plan = hold_of(book.build(build)).plan
    assert plan is not None
    assert (plan.gauge.face, plan.gauge.tapped) == (GaugeFace.DIAL, True)
    assert [one.face for one in book.shop().instruments] == [GaugeFace.DIAL]


def test_face_and_tapping_can_be_changed_and_make_no_sense_for_a_thermometer() -> None:
    flow, _ = planned(VOLUME, "dial", "", "no")
    led(flow, ["tapped yes"])
    led(flow, ["face digital"])
    with pytest.raises(InputError, match="only the needle of a dial"):
        flow.answer("tapped yes")
    led(flow, [""])
    led(flow, ["", ""])
    with pytest.raises(InputError, match="only a gauge has a face"):
        flow.answer("face dial")


def test_an_untapped_dial_needs_longer_than_a_tapped_one_for_the_same_limit() -> None:
    times = []
    for tapped in ("yes", "no"):
        flow, _ = planned(VOLUME, "dial", "5 mbar mark", tapped, "", "", "", "", "none")
        assert flow.hand.plan_draft is not None
        times.append(flow.hand.plan_draft.hold_s)
    assert times[0] < times[1]


# --- the limit and the time ------------------------------------------------------------------------------------------


def test_a_limit_that_lets_water_out_is_no_limit_of_a_plan() -> None:
    flow, _ = planned(VOLUME, *GAUGE, *WITHOUT)
    before = flow.hand.plan_draft
    with pytest.raises(NotAllowed, match=r"looser than watertight, which lets water out\. Take at most"):
        led(flow, ["limit 0.03 mbar·L/s"])
    assert flow.hand.plan_draft == before
    led(flow, ["limit 1e-2 mbar·L/s"])
    assert flow.hand.plan_draft is not None
    assert flow.hand.plan_draft.limit_pa_m3_s == pytest.approx(1e-3)


def test_two_limits_have_names_and_say_what_they_mean_in_water_a_year() -> None:
    flow, _ = planned(VOLUME, *GAUGE, *WITHOUT)
    reasons = " ".join(flow.content().reasons)
    assert "Limit watertight: at most 1.8 L of water a year" in reasons
    assert "Limit strict: at most 360 mL of water a year" in reasons
    led(flow, ["limit strict"])
    assert flow.hand.plan_draft is not None
    assert flow.hand.plan_draft.limit_pa_m3_s == pytest.approx(2e-4)
    assert flow.content().figures[0].value == "0.002 mbar·L/s"
    assert any(reason.startswith("The limit (strict) means one hole of") for reason in flow.content().reasons)
    led(flow, ["watertight"])
    assert flow.hand.plan_draft.limit_pa_m3_s == pytest.approx(1e-3)


def test_the_plan_starts_at_the_time_that_decides_and_follows_what_is_changed() -> None:
    flow, book = planned(VOLUME, *GAUGE, "", "", "", "none")
    first = flow.hand.plan_draft
    assert first is not None
    able = book.work(Holds).capability(flow.hand.state, first)
    assert able.hold_needed_s is not None
    assert able.hold_needed_s <= first.hold_s < able.hold_needed_s + 300
    assert able.can_decide
    verdict = flow.content().verdict
    assert verdict is not None
    assert "a tight loop passes after about" in verdict.text
    assert "any leak at the limit is found after" in verdict.text
    assert any(reason.startswith("Shorter: ") for reason in flow.content().reasons)
    led(flow, ["limit strict"])
    assert flow.hand.plan_draft is not None
    assert flow.hand.plan_draft.hold_s > first.hold_s
    led(flow, ["time 7 min", "limit watertight"])
    assert flow.hand.plan_draft.hold_s == 420


def test_the_plan_says_what_a_leak_that_starts_late_could_hide() -> None:
    flow, _ = planned(VOLUME, *GAUGE, "", "", "", "none")
    assert any("are blind to it" in reason for reason in flow.content().reasons)
    led(flow, ["every 30 min"])
    assert any("Nothing here guards" in reason for reason in flow.content().reasons)


def test_the_plan_is_still_accepted_by_enter() -> None:
    flow, book = planned(VOLUME, *GAUGE, *WITHOUT, "")
    assert hold_of(book.build(flow.hand.build_id)).plan is not None
    assert flow.phase is Phase.CAUTIONS


def test_a_workshop_without_a_barometer_is_asked_once_and_not_for_the_next_build() -> None:
    flow, book = planned(VOLUME, *GAUGE, *WITHOUT)
    second = book.open_build("South tower")
    again = HoldFlow(book, second)
    led(again, [VOLUME])
    assert "thermometer" in asked(again)  # cheap, and it decides much: each build asks
    led(again, ["none"])
    assert asked(again).startswith("Is this the plan?")
    assert flow.hand.plan_draft is not None
    assert flow.hand.plan_draft.barometer is None


def retested(*before: HoldPlan, by_file: bool = False) -> HoldFlow:
    """A flow at the plan of the second attempt; the first lost 40 mbar and was repaired, or was a file without rows."""
    book, _, clock = new_book()
    build = ready_build(book)
    hold = book.work(Holds)
    prepare_hold(book, build, before[0])
    for plan in before[1:]:
        hold.plan(build, plan)
    clock.run(5)
    hold.start(build, began_ms=book.clock.now().wall_ms - 2000 if by_file else None)
    if not by_file:
        type_hold(book, clock, build, start_mbar=500.0, fall_mbar=40.0)
    hold.close(build, Ending.ABANDONED if by_file else None)
    flow = HoldFlow(book, build)
    found = () if by_file else ("seal", "none", "pinched", "new seal")
    led(flow, ["0", *found, ""])
    return flow


def test_a_retest_keeps_the_limit_until_another_is_typed_and_says_so() -> None:
    flow = retested(PLAN)
    led(flow, ["digital", "thermometer none"])
    plan = flow.hand.plan_draft
    assert plan is not None
    assert plan.limit_pa_m3_s == PLAN.limit_pa_m3_s
    assert not any("the attempt before had" in one for one in flow.content().notices)
    led(flow, ["limit strict", "pressure 0.4 bar"])
    told = [one for one in flow.content().notices if "the attempt before had" in one]
    assert [one.split(",")[1] for one in told] == [
        " the attempt before had 0.01 mbar·L/s.",
        " the attempt before had 500 mbar.",
    ]


def test_a_retest_keeps_the_pressure_that_was_planned_and_not_the_first_row_of_the_file() -> None:
    flow = retested(PLAN, replace(PLAN, target_gauge_pa=51_020), by_file=True)
    led(flow, ["digital"])
    plan = flow.hand.plan_draft
    assert plan is not None
    assert plan.target_gauge_pa == PLAN.target_gauge_pa


@pytest.mark.parametrize("at", ["the shell", "the screen"])
def test_a_plan_that_is_made_again_takes_the_instruments_as_they_are_described_by_now(at: str) -> None:
    """A gauge that was found coarser is planned with by any line; one that ends at 100 mbar by none for 500."""
    digital = replace(OLD_GAUGE, face=GaugeFace.DIGITAL)
    book, _, _ = new_book()
    build = ready_build(book)
    book.has_no(InstrumentKind.BAROMETER)
    prepare_hold(book, build, replace(PLAN, gauge=digital))
    flow = HoldFlow(book, build)

    def plan_again(now: Instrument) -> HoldPlan | None:
        if at == "the screen":
            flow.hand.reopen_plan()  # and while it stands there, the gauge is described on F5
        book.add_instrument(now)
        if at == "the screen":
            flow.refresh()
            led(flow, ["settle 12 min", ""])
        else:
            hand = HoldAtHand(book, build)
            hand.work.plan(build, whole_plan(book, hand.state, hand.last_plan, ["settle 12 min"]))
        return hold_of(book.build(build)).plan

    coarser = replace(digital, resolution=5 * digital.resolution)
    plan = plan_again(coarser)
    assert plan is not None
    assert (plan.gauge, plan.settle_s) == (coarser, 720)
    with pytest.raises(NotAllowed, match="shows at most 100 mbar over the room"):
        plan_again(replace(coarser, high=100e2))


def test_a_hold_on_air_asks_for_the_drain_first_where_the_record_has_coolant_in_the_loop() -> None:
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    pour(book, build, 300)
    flow = HoldFlow(book, build)
    flow.hand.try_again()
    assert asked(flow).startswith("As logged 300 mL of coolant is in the loop. Drain and dry it.")
    with pytest.raises(InputError, match='"yes" is not the word: type dry'):
        flow.answer("yes")
    led(flow, ["dry"])
    assert not asked(flow).startswith("As logged")


def test_coolant_that_is_poured_after_the_cautions_of_a_hold_were_answered_is_asked_about_again() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    flow = HoldFlow(book, build)
    flow.hand.try_again()
    led(flow, ["dry"])
    prepare_hold(book, build)
    answer(book, build, book.work(Fills), When.BEFORE_POURING, When.BEFORE_PUMP)
    pour(book, build, 20)
    flow.refresh()
    for line in ("note drained from the low corner", "dry"):
        assert asked(flow).startswith("As logged 1.12 L of coolant is in the loop. Drain and dry it.")
        led(flow, [line])
    assert not asked(flow).startswith("As logged")


def test_an_unknown_gauge_is_refused_with_the_way_to_describe_another() -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    stage = book.procedure(book.build(build)).stage("pressure_hold")
    with pytest.raises(InputError, match="is no gauge; type one of bench gauge; or gauge new, to describe another"):
        changed(PLAN, "gauge digital 0.1 mbar", stage, book.shop(), None)


def test_another_attempt_proposes_the_time_that_was_planned_and_says_that_it_was_extended() -> None:
    book, _, clock = new_book()
    build = ready_build(book)
    gauge = replace(OLD_GAUGE, face=GaugeFace.DIGITAL)
    book.add_instrument(gauge)
    start_hold(book, build, replace(PLAN, gauge=gauge))  # 30 min, then 60 min
    book.work(Holds).extend(build, 3600)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0.1, minutes=60)
    book.work(Holds).close(build)
    book.work(Holds).let_down(build, gauge_reads(0.0))
    flow = HoldFlow(book, build)
    led(flow, ["again"])
    assert asked(flow).startswith("Is this the plan?")
    assert flow.hand.plan_draft is not None
    assert flow.hand.plan_draft.hold_s == 30 * 60
    assert flow.card().remarks == ("The attempt before was planned for 30 min and extended to 1 h.",)
    led(flow, [""])
    assert hold_of(book.build(build)).plan.hold_s == 30 * 60  # type: ignore[union-attr]
