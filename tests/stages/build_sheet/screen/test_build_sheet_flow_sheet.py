"""The build sheet, asked part by part."""

from pathlib import Path

import pytest

from commission.base.errors import FileError, InputError, NotAllowed, ReadOnly, UnknownName
from commission.base.frozen import replace
from commission.base.quantity import Measured, Quantity
from commission.record.machine.parts import Material, Part, PartKind
from commission.stages.build_sheet.card.sheet import SheetFlow
from commission.stages.build_sheet.entries import PartAdded, PartCorrected
from commission.stages.build_sheet.work import Sheet
from commission.stages.pressure_hold.card.hold import HoldFlow
from commission.stages.pressure_hold.state.attempt import hold_of
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import ListLog, new_book
from tests.holds import PLAN, ready_build, start_hold
from tests.ui.bench import asked, led, one_build, ready, with_parts


def test_the_operator_is_asked_for_once() -> None:
    book, _, _ = new_book()
    flow = SheetFlow(book, book.open_build("North"))
    assert "Who works" in asked(flow)
    led(flow, ["Ada"])
    assert book.shop().operator == "Ada"
    assert "first part" in asked(flow)


def test_three_equal_parts_are_stored_as_three() -> None:
    book, _, _, build = one_build()
    led(SheetFlow(book, build), ["3 x radiator 360", ""])
    names = [part.name for part in book.build(build).parts]
    assert names == ["radiator 360 mm 1", "radiator 360 mm 2", "radiator 360 mm 3"]


def test_usual_figures_are_marked_as_assumed_and_changed_ones_are_not() -> None:
    book, _, _, build = one_build()
    led(SheetFlow(book, build), ["pump", "45 mL ± 2 mL", ""])
    assert SheetFlow(book, build).content().step == "1 part"
    part = book.build(build).parts[0]
    assert part.assumed == ("rating", "wetted")
    assert part.volume_m3 == pytest.approx(45e-6)
    assert part.u_volume_m3 == pytest.approx(2e-6 / 2)  # ± is 95 %, JCGM 100:2008 6.3.3


def test_bare_aluminium_beside_copper_warns_before_it_is_stored() -> None:
    book, _, _, build = with_parts()
    flow = SheetFlow(book, build)
    led(flow, ["gpu block", "aluminium"])
    assert any("will corrode" in notice for notice in flow.content().notices)
    assert all(Material.BARE_ALUMINIUM not in part.materials for part in book.build(build).parts)


def test_a_test_pressure_above_the_weakest_part_warns() -> None:
    book, _, _, build = with_parts()
    flow = SheetFlow(book, build)
    led(flow, ["reservoir", "0.3 bar"])
    assert any("above the rating of tube reservoir" in notice for notice in flow.content().notices)


def test_a_gauge_of_too_large_a_range_warns_while_it_is_typed() -> None:
    book, _, _, build = with_parts()
    flow = SheetFlow(book, build)
    led(flow, ["instrument", "dial", "", "yes", "range 0 to 6 bar"])
    assert any("more than 5 times" in notice for notice in flow.content().notices)


def test_a_parts_list_comes_from_a_file_all_of_it_or_nothing(tmp_path: Path) -> None:
    book, log, _, build = one_build()
    flow, file, head = SheetFlow(book, build), tmp_path / "parts.csv", log.head()
    file.write_text("part,volume,rating\n2 x radiator 240,200 mL,1 bar\npomp,,\n", encoding="utf-8")
    with pytest.raises(FileError, match="line 3"):
        flow.answer(f"file {file}")
    assert log.head() == head
    file.write_text("part,volume,rating\n2 x radiator 240,200 mL,1 bar\npump,,unknown\n", encoding="utf-8")
    led(flow, [f"file {file}"])
    parts = book.build(build).parts
    assert [round(part.volume_m3 * 1e6) for part in parts[:2]] == [200, 200]
    assert [part.max_gauge_pa for part in parts] == [1e5, 1e5, None]


def test_a_build_is_made_like_another_by_one_line() -> None:
    book, _, _, first = with_parts()
    second = book.open_build("South tower")
    flow = SheetFlow(book, second)
    assert "like BUILD" in flow.content().prompt.hint  # type: ignore[union-attr]
    said = flow.answer("like north")
    assert said == f"like {book.build(first).name}: {len(book.build(first).parts)} parts"
    old, new = book.build(first).parts, book.build(second).parts
    assert [(part.name, part.volume_m3, part.assumed) for part in old] == [
        (part.name, part.volume_m3, part.assumed) for part in new
    ]
    assert not {part.part_id for part in old} & {part.part_id for part in new}
    with pytest.raises(NotAllowed, match="has parts on its list already"):
        flow.answer("like north")


def test_a_plan_that_is_taken_over_is_said_too() -> None:
    book, _, _, first = ready()
    said = SheetFlow(book, book.open_build("South tower")).answer("like north")
    assert hold_of(book.build(first)).plan is not None
    assert said.endswith(f"{len(book.build(first).parts)} parts and the plan of its hold")


def test_what_was_measured_or_left_out_of_another_loop_is_not_copied() -> None:
    book, _, _, first = ready()
    sheet = book.work(Sheet)
    sheet.rate_part(
        first, book.build(first).parts[0].part_id, Measured(quantity=Quantity.GAUGE_PRESSURE, si=9e4, typed="900 mbar")
    )
    sheet.leave_out(first, book.build(first).parts[0].part_id, "glass, no data sheet")
    sheet.measure_volume(first, method="strokes", volume_m3=1e-3, u_volume_m3=1e-5, inputs=())
    second = book.open_build("South tower")
    book.make_like(second, first)
    state = book.build(second)
    assert book.build(first).measured is not None
    assert state.measured is None
    assert book.build(first).left_out
    assert not state.left_out


def test_a_copied_plan_has_its_instruments_as_they_are_now_and_none_without_its_gauge() -> None:
    book, _, _ = new_book()
    first = ready_build(book)
    plan = hold_of(book.build(first)).plan
    if plan is None:
        book.work(Holds).plan(first, PLAN)
        plan = PLAN
    for one in (plan.gauge, plan.thermometer, plan.barometer):
        if one is not None:
            book.add_instrument(one)
    assert plan.thermometer is not None
    book.add_instrument(replace(plan.gauge, accuracy=plan.gauge.accuracy / 2))
    book.retire_instrument(plan.thermometer.instrument_id, "fell off the bench")
    second = book.open_build("South tower")
    book.make_like(second, first)
    copied = hold_of(book.build(second)).plan
    assert copied is not None
    assert copied.gauge.accuracy == plan.gauge.accuracy / 2
    assert copied.thermometer is None
    book.retire_instrument(plan.gauge.instrument_id, "fell too")
    third = book.open_build("West tower")
    book.make_like(third, first)
    assert hold_of(book.build(third)).plan is None


def test_a_part_is_described_again_before_any_hold_was_started() -> None:
    book, log, _, build = with_parts()
    flow = SheetFlow(book, build)
    first = book.build(build).parts[0]
    led(flow, [f"edit {first.name}"])
    assert "usual" not in asked(flow)
    led(flow, ["310 mL ± 10 mL", "name top", ""])
    right = book.build(build).parts[0]
    assert (right.part_id, right.name, right.kind) == (first.part_id, "top", first.kind)
    assert right.volume_m3 == pytest.approx(310e-6)
    assert [part.name for part in book.build(build).parts[1:]] == [
        part.name for part in log_parts(log)[1:]
    ]  # the others stay as they were added
    assert sum(isinstance(entry.payload, PartCorrected) for entry in log.entries()) == 1


def log_parts(log: ListLog) -> list[Part]:
    return [entry.payload.part for entry in log.entries() if isinstance(entry.payload, PartAdded)]


def test_a_part_that_a_hold_was_started_with_is_not_described_again() -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    sheet, part = book.work(Sheet), book.build(build).parts[0]
    with pytest.raises(NotAllowed, match="take it out and type the other part"):
        sheet.correct_part(build, replace(part, kind=PartKind.FILTER))
    with pytest.raises(NotAllowed, match="check the unit"):
        sheet.correct_part(build, replace(part, volume_m3=5.0))
    with pytest.raises(UnknownName):
        sheet.correct_part(build, replace(part, part_id="nothing"))
    sheet.correct_part(build, replace(part, name="as it is"))
    start_hold(book, build)
    with pytest.raises(NotAllowed, match="a hold was started"):
        sheet.correct_part(build, replace(part, name="once more"))


def test_a_part_is_taken_out_only_with_a_reason() -> None:
    book, _, _, build = with_parts()
    flow = SheetFlow(book, build)
    led(flow, ["remove cpu"])
    with pytest.raises(InputError):
        flow.answer("  ")
    led(flow, ["leaks at its lid"])
    assert [part.name for part in book.build(build).parts] == ["radiator 360 mm", "tube"]


def test_esc_forgets_the_part_that_was_half_typed() -> None:
    book, log, _, build = with_parts()
    flow = SheetFlow(book, build)
    led(flow, ["reservoir"])
    before = len(log.stored)
    assert flow.back()
    assert not flow.back()
    assert len(log.stored) == before
    assert "next part" in asked(flow)


def test_the_list_is_whole_leads_to_the_hold() -> None:
    book, _, _, build = with_parts()
    flow = SheetFlow(book, build)
    led(flow, [""])
    assert flow.go == "pressure_hold"


@pytest.mark.parametrize("text", ["", "tank", "0 x pump", "99 x pump", "radiator", "remove nothing", "[/]", "\x1b[2J"])
def test_what_is_no_part_stores_nothing(text: str) -> None:
    book, log, _, build = with_parts()
    flow = SheetFlow(book, build)
    before = log.head()
    with pytest.raises(InputError):
        flow.answer(text)
    assert log.head() == before


def test_a_pump_by_its_own_name_is_a_pump_and_a_refusal_names_a_part_of_each_kind() -> None:
    book, _, _, build = one_build()
    flow = SheetFlow(book, build)
    led(flow, ["Larkspur pump", ""])
    assert [(part.name, part.kind) for part in book.build(build).parts] == [("Larkspur pump", PartKind.PUMP)]
    with pytest.raises(InputError) as refused:
        flow.answer("frobnicator 12")
    said = str(refused.value)
    assert all(kind in said for kind in ("radiator 360 mm", "CPU block", "pump and its top", "tube", "or other part"))
    assert "radiator 240" not in said


def test_a_part_is_refused_while_a_hold_runs() -> None:
    book, log, _, build = ready()
    led(HoldFlow(book, build), ["500 21"])
    flow = SheetFlow(book, build)
    led(flow, ["pump"])
    before = log.head()
    with pytest.raises(NotAllowed, match="hold is running"):
        led(flow, [""])
    assert log.head() == before


def test_a_log_that_cannot_be_written_refuses_and_says_who_holds_it() -> None:
    book, log, _, build = with_parts()
    flow = SheetFlow(book, build)
    log.read_only_because = "commission holds it in process 12"
    led(flow, ["pump"])
    with pytest.raises(ReadOnly, match="process 12"):
        led(flow, [""])


def test_a_list_of_parts_one_a_line_takes_usual_figures_as_assumed() -> None:
    book, _, _, build = one_build()
    flow = SheetFlow(book, build)
    led(flow, ["radiator 360", "2 x radiator 240", "tube 10/16 1,2 m", "tube 10/16 2 m", "reservoir 250 mL", ""])
    parts = book.build(build).parts
    assert [part.name.split()[0] for part in parts] == ["radiator"] * 3 + ["tube"] * 2 + [parts[-1].name.split()[0]]
    assert parts[0].assumed == ("rating", "volume", "wetted")
    assert parts[-1].volume_m3 == pytest.approx(250e-6)
    # tube of 10 mm bore: pi / 4 * (1 cm)^2 * 120 cm = 94.2 cm3, * 200 cm = 157.1 cm3
    assert [part.volume_m3 for part in parts[3:5]] == pytest.approx([94.2e-6, 157.1e-6], rel=1e-3)


@pytest.mark.parametrize("change", ["copper", "name radiator 240", "0.8 bar", "10 mL"])
def test_a_change_of_the_part_in_hand_is_no_next_part(change: str) -> None:
    book, _, _, build = one_build()
    led(SheetFlow(book, build), ["radiator 360", change])
    assert not book.build(build).parts
