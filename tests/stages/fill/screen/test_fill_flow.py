"""The fill as a flow: cautions, bottle, amounts, levels, withdrawals, the verdict, and the way on."""

import pytest

from commission.base.errors import CommissionError, InputError, NotAllowed
from commission.base.verdict import Outcome
from commission.bench.card import CardContent
from commission.procedure.model import When
from commission.record.build_state import BuildState
from commission.record.ladder import StageWord
from commission.stages.fill.card.fill import FillFlow, Phase
from commission.stages.fill.model.coolant import Base, Basis
from commission.stages.fill.model.fill import Drain, Pour, Spill
from commission.stages.fill.state import FillState
from commission.stages.fill.work.fills import Fills
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.work.holds import Holds
from tests.answers import FILL, FILL_AGAIN, FILL_PUMP
from tests.fakes import new_book
from tests.holds import gauge_reads, ready_build, start_hold, type_hold
from tests.stages.fill.screen.coolant_bench import POURED, filled, held, poured, pouring
from tests.ui.bench import asked, led
from tests.ui.hostile import HOSTILE
from tests.wet_builds import amount, filled_build, pouring_build


def figure(card: CardContent, label: str) -> str:
    """Value and bounds of a figure."""
    found = [f"{one.value} {one.bounds} {one.remark}" for one in card.figures if one.label == label]
    assert found, f"{label} is not among {[one.label for one in card.figures]}"
    return found[0]


def test_a_loop_that_was_not_proved_tight_is_not_filled() -> None:
    book, _, _ = new_book()
    flow = FillFlow(book, ready_build(book))
    assert flow.phase is Phase.LOCKED
    assert "rests on pressure hold" in asked(flow)
    led(flow, [""])
    assert flow.go == "pressure_hold"


def test_nothing_is_opened_while_the_loop_holds_pressure_by_the_book() -> None:
    book, _, clock = new_book()
    build = ready_build(book)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500.0, fall_mbar=0.0)
    clock.run(600)
    book.work(Holds).close(build, Ending.PLANNED)
    flow = FillFlow(book, build)
    assert flow.phase is Phase.PRESSURE
    led(flow, [""])
    assert flow.go == "pressure_hold"
    book.work(Holds).let_down(build, gauge_reads(0.0))
    assert FillFlow(book, build).phase is Phase.PUMP_SUPPLY


def test_an_override_of_the_lock_needs_a_reason_and_stands_in_the_record() -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    flow = FillFlow(book, build)
    with pytest.raises(InputError, match="why"):
        flow.answer("override")
    led(flow, ["override filled elsewhere already"])
    assert flow.phase is Phase.PUMP_SUPPLY
    assert book.build(build).overridden == {"fill": "filled elsewhere already"}


def test_each_caution_is_answered_by_itself_with_the_text_that_stood_there() -> None:
    book, log, _, build = held()
    flow = FillFlow(book, build)
    for left in range(len(FILL), 0, -1):
        assert flow.phase is Phase.CAUTIONS
        assert len(book.work(Fills).missing_cautions(book.build(build), When.BEFORE_POURING)) == left
        led(flow, [FILL[len(FILL) - left]])
    assert flow.phase is Phase.POURING
    texts = [entry.payload.text for entry in log.stored if getattr(entry.payload, "stage", "") == "fill"]  # type: ignore[attr-defined]
    assert any("a teaspoon can kill" in text for text in texts)


def test_a_bottle_is_described_with_the_basis_of_its_share_before_anything_is_poured() -> None:
    book, _, _, build = held()
    flow = FillFlow(book, build)
    led(flow, [*FILL, "2"])
    with pytest.raises(InputError, match="by mass or by volume"):
        flow.answer("30 %")
    led(flow, ["30 % by volume", "1 L", "lot A12", "opened 2026-03-31", "lasts 2 years", "name red can", ""])
    bottle = book.work(Fills).bottles[0]
    assert (bottle.base, bottle.fraction, bottle.basis) == (Base.PROPYLENE_GLYCOL, 0.3, Basis.VOLUME)
    assert (bottle.lot, bottle.opened_on, bottle.name) == ("A12", "2026-03-31", "red can")
    assert bottle.lasts_s == 2 * 365.25 * 86_400
    assert flow.hand.bottle == bottle


def test_a_ready_mix_is_asked_for_the_density_of_its_data_sheet() -> None:
    book, _, _, build = held()
    flow = FillFlow(book, build)
    led(flow, [*FILL, "ready"])
    assert "density" in asked(flow)
    led(flow, ["1.035 g/mL at 20 degC", "none", "1 L", ""])
    assert book.work(Fills).bottles[0].density_kg_m3 == pytest.approx(1035)


def test_the_next_bottle_of_a_ready_mix_is_offered_the_product_of_the_one_before() -> None:
    book, _, _, build = held()
    flow = FillFlow(book, build)
    led(flow, [*FILL, "ready", "1.035 g/mL", "Clear Brook", "1 L", ""])
    led(flow, ["bottle new", "ready", "1.035 g/mL", "", "1 L", ""])
    first, second = book.work(Fills).bottles
    assert (first.name, second.name) == ("Clear Brook", "Clear Brook 2")
    assert (first.kind, second.product) == (second.kind, "Clear Brook")


def test_a_fill_that_no_longer_counts_says_so_beside_stale_and_not_why_it_passed() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    passed = FillFlow(book, build).card()
    assert passed.verdict is not None
    drained = book.work(Fills).move(build, Drain(dose=amount(400)), stage="bleed")
    card = FillFlow(book, build).card()
    assert card.verdict is not None
    assert (card.verdict.word, card.verdict.text) == (
        "stale",
        f"No longer counts since entry {drained.seq}: coolant drained.",
    )
    assert card.reasons[0] == f"Before that it passed: {passed.verdict.text}"


def test_a_weighed_pour_is_told_back_as_volume_mass_and_total_before_it_is_stored() -> None:
    """653.4 g of 30 % propylene glycol at 21 °C: 1023.4 kg/m3 by Melinder's polynomial (IIF-IIR 2010), 638.5 mL."""
    book, log, _, build = pouring()
    flow = FillFlow(book, build)
    led(flow, [""])
    prompt = flow.now()
    assert prompt is not None
    head = log.head()
    told = prompt.understand("weighed 1184,6 531,2 g")
    assert "premix: 639 mL ± 7 mL" in told
    assert "653.4 g" in told
    assert "then in: 638" in told
    assert log.head() == head, "nothing may be stored before Enter"
    said = flow.answer("weighed 1184,6 531,2 g")
    assert said.startswith(f"entry {log.head().seq} ")


def test_a_line_that_was_told_is_read_again_once_the_record_has_grown() -> None:
    """Twice the same amount of the same premix, poured in two windows: the second comes to the double."""
    book, _, _, build = pouring()
    flow, other = FillFlow(book, build), FillFlow(book, build)
    led(flow, [""])
    prompt = flow.now()
    assert prompt is not None
    first = prompt.understand("500 mL temp 20 degC")
    assert first.endswith("then in: 500 mL")
    other.refresh()
    led(other, ["500 mL temp 20 degC"])
    flow.refresh()
    assert flow.answer("500 mL temp 20 degC").endswith("now in: 1000 mL")


def test_the_temperature_typed_with_a_pour_holds_for_the_next_and_else_the_room_of_the_hold_is_taken() -> None:
    book, _, _, build = pouring()
    flow = FillFlow(book, build)
    assert "as in the hold" in flow.pouring.deed("250 mL").told
    led(flow, ["", "250 mL temp 26 degC"])
    assert "at 26 °C" in flow.pouring.deed("250 mL").told
    assert "at 26 °C" in FillFlow(book, build).pouring.deed("250 mL").told
    led(flow, ["temp 24 degC"])
    assert "at 24 °C" in flow.pouring.deed("250 mL").told


def test_every_way_out_of_the_loop_has_a_word() -> None:
    """Hand calculation at 20 °C, without mixing: 1000 - 100 - 10 - 3 - 20 mL."""
    book, _, _, build = pouring()
    flow = FillFlow(book, build)
    lines = [
        "temp 20 degC",
        "",
        "1 L",
        "drain 0,1 L into waste can",
        "draw 10 mL",
        "lost 3 mL",
        "spill 20 mL from filler",
    ]
    led(flow, lines)
    assert flow.hand.fill_verdict.filled_m3 * 1e6 == pytest.approx(867, abs=1)
    assert [type(moved.movement).__name__ for moved in flow.hand.state.of(FillState).moves] == [
        "Pour",
        "Drain",
        "SyringeOut",
        "Evaporation",
        "Spill",
    ]
    assert getattr(flow.hand.state.of(FillState).moves[1].movement, "into", "") == "waste can"


def test_a_spill_right_after_a_pour_never_reached_the_loop() -> None:
    book, _, _, build = pouring()
    flow = FillFlow(book, build)
    led(flow, ["", "250 mL", "spill 20 mL"])
    spill = flow.hand.state.of(FillState).moves[-1].movement
    assert isinstance(spill, Spill)
    assert spill.bottle is not None
    assert "out of the open filler" in flow.pouring.deed("spill 20 mL from filler").told


def test_what_left_the_loop_by_itself_is_a_leak_and_no_spill() -> None:
    book, log, _, build = pouring()
    flow = FillFlow(book, build)
    led(flow, ["", "250 mL", "spill 20 mL"])
    head = log.head()
    for line in ("spill 20 mL from loop", "spill 5 mL out of loop # dripping from the GPU block", "spill 20 mL"):
        with pytest.raises(InputError, match="by itself is a leak: type leak"):
            flow.answer(line)
    assert log.head() == head


def test_more_than_the_bottle_holds_is_refused_while_it_is_typed() -> None:
    book, log, _, build = pouring()
    flow = FillFlow(book, build)
    led(flow, ["", "1.5 L"])
    head = log.head()
    prompt = flow.now()
    assert prompt is not None
    with pytest.raises(InputError, match="left as logged"):
        prompt.understand("900 mL")
    assert log.head() == head


def test_more_than_is_in_the_loop_cannot_come_out() -> None:
    book, log, _, build = pouring()
    flow = FillFlow(book, build)
    led(flow, ["", "100 mL"])
    head = log.head()
    with pytest.raises(NotAllowed, match="in the loop as logged"):
        flow.answer("drain 0.5 L")
    empty, _, _, other = pouring()
    with pytest.raises(NotAllowed, match="nothing was added"):
        FillFlow(empty, other).answer("drain 10 mL")
    assert log.head() == head


def test_a_wrong_pour_is_withdrawn_with_a_reason_and_stays_in_the_record() -> None:
    book, log, _, build = pouring()
    flow = FillFlow(book, build)
    led(flow, ["", "250 mL", "850 mL", "undo"])
    assert "850 mL from premix" in asked(flow)
    flow.back()
    assert flow.hand.fill_verdict.movements == 2
    led(flow, ["undo"])
    with pytest.raises(InputError, match="type why the entry is wrong"):
        flow.answer("undo")
    led(flow, ["it was 250 mL"])
    assert flow.hand.fill_verdict.filled_m3 * 1e6 == pytest.approx(250, abs=1)
    assert len(book.build(build).of(FillState).moves) == 1
    assert sum(entry.payload.KIND == "coolant poured" for entry in log.stored) == 2
    assert figure(flow.content(), "left in premix").startswith("1750 mL")


def test_undo_before_the_first_amount_withdraws_the_last_caution_that_was_answered() -> None:
    book, _, _, build = pouring()
    flow = FillFlow(book, build)
    last = book.entries(build)[-1]
    assert last.payload.KIND == "caution acknowledged"
    led(flow, ["undo"])
    assert f"Why is entry {last.seq}: caution read" in asked(flow)
    led(flow, ["read too fast"])
    assert book.build(build).withdrawn
    assert flow.phase is Phase.CAUTIONS


def test_the_caution_about_a_dry_pump_is_answered_before_the_step_that_runs_it() -> None:
    book, _, _, build = pouring()
    flow = FillFlow(book, build)
    led(flow, ["", "800 mL", "done"])
    card = flow.content()
    assert card.cautions_open
    assert any("dry" in line.text for line in card.cautions)
    led(flow, FILL_PUMP)
    assert "bursts" in asked(flow)


def test_the_figures_say_total_expected_share_and_what_the_difference_proves() -> None:
    """Poured 638.5 and 249.8 mL, 20 mL spilled: 868 mL of 1200 ± 30 (u) mL."""
    book, _, _, build = poured()
    card = FillFlow(book, build).content()
    assert figure(card, "added").startswith("868 mL")
    assert figure(card, "expected").startswith("1200 mL ± 60 mL (95 %)")
    assert "72 % filled" in figure(card, "still to add")
    assert figure(card, "coolant").startswith("propylene glycol 30 % by mass")
    assert figure(card, "freezes below").startswith("-12.8 °C")
    assert any("are still air" in reason for reason in card.reasons)
    assert card.verdict is not None
    assert card.verdict.word == Outcome.INCONCLUSIVE


def test_a_level_without_a_reservoir_asks_for_the_reservoir() -> None:
    book, _, _, build = poured()
    flow = FillFlow(book, build)
    with pytest.raises(InputError, match="inner diameter and height"):
        flow.answer("level 120 mm 23 degC")
    led(flow, ["reservoir 60 mm 200 mm"])
    with pytest.raises(InputError, match="outside the straight part"):
        flow.answer("level 250 mm 23 degC")
    led(flow, ["level 150 mm 23 degC"])
    assert "weakest part 1000 mbar" in figure(flow.content(), "hot pressure")


def test_a_loop_without_air_above_the_coolant_is_an_error_in_words_never_a_number() -> None:
    book, _, _, build = poured()
    flow = FillFlow(book, build)
    led(flow, ["reservoir 60 mm 200 mm", "level 200 mm 20 degC"])
    card = flow.content()
    shown = figure(card, "hot pressure")
    assert shown.startswith("NO AIR SPACE")
    assert "bar" not in shown
    assert any("no pressure can be named" in notice for notice in card.notices)


def test_a_fill_to_the_brim_is_led_to_drawing_some_off_and_then_passes() -> None:
    """5 mm of a bore of 60 mm are 14 mL of air; 30 % propylene glycol swells by about 2 % up to 60 °C, 23 mL."""
    book, _, _, build = poured()
    flow = FillFlow(book, build)
    led(flow, ["300 mL", "", "dry", "reservoir 60 mm 200 mm", "level 195 mm 23 degC", "", "", ""])
    assert flow.phase is Phase.AFTER
    assert asked(flow).startswith("Too little air above the coolant: draw some off, then read the level again.")
    led(flow, ["", *FILL_AGAIN, "", "draw 120 mL", "level 153 mm 23 degC"])
    assert not flow.content().notices
    led(flow, ["end", ""])
    assert [run.outcome for run in book.build(build).runs["fill"]] == [Outcome.INCONCLUSIVE, Outcome.PASS]


def test_two_unlike_coolants_give_no_fraction() -> None:
    book, _, _, build = poured()
    flow = FillFlow(book, build)
    led(flow, ["bottle new", "ethylene", "30 % by mass", "1 L", "", "100 mL"])
    assert "no fraction: propylene glycol and ethylene glycol are mixed" in figure(flow.content(), "coolant")
    assert figure(flow.content(), "freezes below").startswith("not known")


def test_a_fill_that_passes_leads_to_the_bleed() -> None:
    book, _, _, build = filled()
    flow = FillFlow(book, build)
    assert flow.phase is Phase.AFTER
    led(flow, [""])
    assert flow.go == "bleed"
    assert _word(book.build(build), flow) is StageWord.PASSED


def _word(state: BuildState, flow: FillFlow) -> StageWord:
    return next(rung.word for rung in flow.hand.book.ladder(state) if rung.stage.id == "fill")


def test_a_fill_that_ends_too_early_fails_and_goes_on_as_another_attempt_with_what_is_in() -> None:
    book, _, _, build = pouring()
    flow = FillFlow(book, build)
    led(flow, ["", "250 mL", "end"])
    assert "not reported done" in asked(flow)
    led(flow, ["", "", ""])
    assert flow.phase is Phase.CAUTIONS
    led(flow, [*FILL_AGAIN, "", "900 mL"])
    assert flow.hand.fill_verdict.filled_m3 * 1e6 == pytest.approx(1150, abs=2)
    assert [run.outcome for run in book.build(build).runs["fill"]] == [Outcome.FAIL, None]


def test_a_step_cannot_be_done_before_anything_was_poured() -> None:
    book, _, _, build = pouring()
    flow = FillFlow(book, build)
    led(flow, [""])
    with pytest.raises(InputError, match="nothing was added"):
        flow.answer("done")


@pytest.mark.parametrize("answer", ["dry", "Dry", "all dry", "dry # at the second look"])
def test_the_look_for_drips_is_answered_by_its_word_and_never_by_enter_alone(answer: str) -> None:
    book, log, _, build = poured()
    flow = FillFlow(book, build)
    led(flow, [""])
    prompt = flow.now()
    assert prompt is not None
    assert "every joint" in prompt.ask
    assert prompt.proposal is None
    before = log.head()
    for text in ("", "done", "done all of it"):
        with pytest.raises(InputError, match=r"type dry .* wet for a drop"):
            flow.answer(text)
    for text in ("dry but pump drips", "dry: pump wet", "all dry except the pump", "dry at the second look"):
        with pytest.raises(CommissionError, match="dry"):
            flow.answer(text)
    with pytest.raises(NotAllowed, match="is not all dry"):
        book.work(Fills).do_step(build, "look", "pump drips")
    assert log.head() == before
    flow.answer(answer)
    assert flow.hand.work.missing_steps(flow.hand.state) == ("to_the_mark",)
    with pytest.raises(NotAllowed, match="beads"):
        flow.answer("note beads at pump")
    flow.answer("note paper since noon, no drops")


def test_a_fill_is_taken_up_again_where_it_was_left() -> None:
    book, _, _, build = pouring()
    led(FillFlow(book, build), POURED[:3])
    flow = FillFlow(book, build)
    assert flow.phase is Phase.POURING
    assert flow.hand.bottle is not None
    assert flow.hand.bottle.name == "premix"
    led(flow, ["spill 20 mL", "done", ""])
    assert flow.hand.fill_verdict.movements == 3
    assert isinstance(flow.hand.state.of(FillState).moves[0].movement, Pour)


@pytest.mark.parametrize("text", [text for text in HOSTILE if text.strip()])
def test_no_typed_text_breaks_the_line_or_changes_the_log(text: str) -> None:
    book, log, _, build = poured()
    flow = FillFlow(book, build)
    head = log.head()
    prompt = flow.now()
    assert prompt is not None
    for line in (text, f"weighed {text}", f"bottle {text}", f"mark {text}", f"reservoir {text}", f"spill {text}"):
        with pytest.raises((InputError, NotAllowed)):
            prompt.understand(line)
    assert log.head() == head


def test_another_attempt_at_a_full_loop_offers_the_end() -> None:
    book, _, _, build = filled()
    flow = FillFlow(book, build)
    flow.hand.try_again()
    led(flow, [*FILL_AGAIN, ""])
    prompt = flow.now()
    assert prompt is not None
    assert prompt.ask.startswith("As logged the loop is full: nothing is missing.")
    assert prompt.hint.startswith("end · 250 mL")
    led(flow, ["", ""])
    assert [run.outcome for run in book.build(build).runs["fill"]] == [Outcome.PASS, Outcome.PASS]


def test_an_amount_typed_where_the_bottle_is_asked_for_is_told_so() -> None:
    book, _, clock = new_book()
    flow = FillFlow(book, pouring_build(book, clock))  # two bottles stand there
    with pytest.raises(InputError, match="the bottle comes first; type can, jug"):
        flow.answer("250 ml can")
    assert flow.answer("1") == ""
    assert flow.answer("250 mL").startswith("entry ")
