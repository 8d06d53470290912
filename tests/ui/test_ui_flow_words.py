"""What is typed about parts, instruments and plans is understood, and figures are said so that they can be pictured."""

import pytest

from commission.base.errors import InputError
from commission.bench.ask import command, one_of
from commission.bench.figures import energy
from commission.bench.instrument import typed as instrument_draft
from commission.bench.last_entry import reason_of
from commission.bench.names import free_name
from commission.bench.past import seen_at
from commission.procedure.load import default_toml, load_procedure
from commission.record.machine.instrument import Instrument, InstrumentKind
from commission.record.machine.parts import Material, PartKind
from commission.stages.build_sheet.typed import changed, draft_from, materials
from commission.stages.pressure_hold.at_hand import stored_joule
from tests.fakes import START_MS, HandClock

TYPICAL = load_procedure(default_toml()).typical_parts
INSTRUMENTS = load_procedure(default_toml()).typical_instruments


def test_a_kind_with_one_typical_part_needs_no_more_than_its_kind() -> None:
    assert draft_from("cpu block", TYPICAL).kind is PartKind.CPU_BLOCK


def test_a_kind_with_several_typical_parts_asks_which() -> None:
    with pytest.raises(InputError, match=r"radiator 360 mm, radiator 240 mm"):
        draft_from("radiator", TYPICAL)


@pytest.mark.parametrize(
    ("text", "count", "name"),
    [
        ("2 x radiator 360mm", 2, "radiator 360 mm"),
        ("2 radiators 360", 2, "radiator 360 mm"),
        ("rad 240", 1, "radiator 240 mm"),
        ("CPU waterblock", 1, "CPU block"),
        ("gpu water block", 1, "GPU block"),
        ("res 250 mL", 1, "tube reservoir"),
        ("flow sensor", 1, "flow meter"),
        ("2 x radiator 240 copper, brass", 2, "radiator 240 mm"),
        ("gpu block max 0,6 bar", 1, "GPU block"),
    ],
)
def test_parts_are_known_as_people_type_them(text: str, count: int, name: str) -> None:
    draft = draft_from(text, TYPICAL)
    assert (draft.count, draft.name) == (count, name)


def test_a_rating_and_what_it_is_made_of_may_stand_behind_a_part() -> None:
    draft = draft_from("reservoir 180 mL 0,6 bar acrylic", TYPICAL)
    assert (draft.materials, draft.assumed) == ((Material.ACRYLIC,), frozenset())
    assert draft.max_gauge_pa == pytest.approx(0.6e5)
    assert draft.volume_m3 == pytest.approx(180e-6)


def test_several_figures_of_a_part_come_in_one_line() -> None:
    line = "315 mL ± 30 mL, max 0,8 bar, copper, nickel, name GPU block, the 2nd"
    draft = changed(draft_from("gpu block", TYPICAL), line)
    assert draft.volume_m3 == pytest.approx(315e-6)
    assert draft.max_gauge_pa == pytest.approx(0.8e5)
    assert draft.materials == (Material.COPPER, Material.NICKEL)
    assert draft.name == "GPU block, the 2nd"


def test_several_equal_parts_come_in_one_line() -> None:
    draft = draft_from("3 x radiator 360", TYPICAL)
    assert (draft.count, draft.name) == (3, "radiator 360 mm")


def test_a_tube_is_told_by_inner_diameter_and_length() -> None:
    # 1.2 m of 10 mm bore hold pi/4 * 1 cm2 * 120 cm = 94.25 mL (hand calculation)
    draft = draft_from("tube 10 mm x 1,2 m", TYPICAL)
    assert draft.volume_m3 == pytest.approx(94.248e-6, rel=1e-4)
    assert "volume" not in draft.assumed


@pytest.mark.parametrize(
    "text",
    ["10/16 1.8 m", "16/10 1,8 m", "1.8 m 10/16", "10/16 mm x 1.8 m", "10 mm x 1.8 m", "1.8 m x 10 mm", "10 x 180 cm"],
)
def test_a_tube_may_be_typed_by_both_diameters_and_in_either_order(text: str) -> None:
    # 1.8 m of 10 mm bore hold pi/4 * 1 cm2 * 180 cm = 141.37 mL (hand calculation)
    assert draft_from(f"tube {text}", TYPICAL).volume_m3 == pytest.approx(141.372e-6, rel=1e-4)


def test_two_diameters_that_may_be_a_part_of_an_inch_are_asked_about() -> None:
    with pytest.raises(InputError, match=r"3/8 may be a part of an inch: type 0\.375 in x"):
        draft_from("tube 3/8 1.8 m", TYPICAL)
    # 3/8 in are 9.525 mm: pi/4 * 0.9525^2 cm2 * 180 cm = 128.26 mL (hand calculation)
    assert draft_from("tube 0.375 in x 1.8 m", TYPICAL).volume_m3 == pytest.approx(128.26e-6, rel=1e-3)


@pytest.mark.parametrize("size", [120, 140, 240, 280, 360, 420, 480, 560])
def test_every_usual_radiator_is_known_and_holds_as_its_fans_cover(size: int) -> None:
    """Our choice: 315 mL of the 360 mm one, by area: n * 120 mm of fans of 120 mm, or n * 140 mm of 140 mm."""
    fan = 140 if size % 140 == 0 else 120
    draft = draft_from(f"radiator {size}", TYPICAL)
    assert draft.volume_m3 == pytest.approx(315e-6 * size * fan / (360 * 120), rel=5e-3)


@pytest.mark.parametrize("text", ["reservoir 250 mL", "tube reservoir 0.25 L", "2 x reservoir 250 mL ± 10 mL"])
def test_a_part_may_be_typed_with_its_volume(text: str) -> None:
    draft = draft_from(text, TYPICAL)
    assert draft.kind is PartKind.RESERVOIR
    assert draft.volume_m3 == pytest.approx(250e-6)
    assert "volume" not in draft.assumed


def test_a_tube_without_a_size_has_no_volume_yet() -> None:
    assert draft_from("tube", TYPICAL).volume_m3 is None


@pytest.mark.parametrize("text", ["tube 10 x", "tube 10 mm", "tube x x x", "tube 10/16", "tube 10/40 1 m"])
def test_a_size_that_makes_no_tube_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        draft_from(text, TYPICAL)


def test_a_figure_is_told_by_its_unit_alone() -> None:
    draft = draft_from("cpu", TYPICAL)
    draft = changed(changed(changed(draft, "14 mL ± 1 mL"), "0,6 bar"), "copper + acrylic")
    assert draft.volume_m3 == pytest.approx(14e-6)
    assert draft.max_gauge_pa == pytest.approx(60_000)
    assert draft.materials == (Material.COPPER, Material.ACRYLIC)
    assert draft.assumed == frozenset()


def test_a_rating_that_nobody_knows_is_said_so() -> None:
    assert changed(draft_from("cpu", TYPICAL), "max unknown").max_gauge_pa is None


@pytest.mark.parametrize("text", ["", "7", "1,200.5 mL", "-3 mL", "0 bar", "gold", "nan mL", "1e999 mL", "name"])
def test_what_is_no_figure_of_a_part_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        changed(draft_from("cpu", TYPICAL), text)


def test_plain_aluminium_counts_as_bare() -> None:
    assert materials("aluminium, brass") == (Material.BARE_ALUMINIUM, Material.BRASS)


def test_a_name_that_is_taken_gets_a_number() -> None:
    assert free_name("Pump", frozenset({"pump", "pump 2"})) == "Pump 3"


def _gauge() -> Instrument:
    return instrument_draft.from_typical("digital gauge", INSTRUMENTS)


def test_the_accuracy_in_percent_is_of_the_full_scale() -> None:
    assert instrument_draft.changed(_gauge(), "accuracy 1 %").accuracy == pytest.approx(1_000)


def test_a_range_takes_its_unit_from_its_end() -> None:
    gauge = instrument_draft.changed(_gauge(), "range 0 to 2 bar")
    assert (gauge.low, gauge.high) == (0.0, 200_000.0)


def test_a_step_is_in_the_unit_on_the_face() -> None:
    assert instrument_draft.changed(_gauge(), "step 0,1").resolution == pytest.approx(10)


@pytest.mark.parametrize(
    "text", ["", "step", "step 0", "step -1", "range 2 bar to 1 bar", "unit degC", "calibrated 3/4"]
)
def test_what_is_no_figure_of_an_instrument_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        instrument_draft.changed(_gauge(), text)


def test_a_thermometer_steps_in_temperature_differences() -> None:
    thermometer = instrument_draft.from_typical("thermometer", INSTRUMENTS)
    assert thermometer.kind is InstrumentKind.THERMOMETER
    assert instrument_draft.changed(thermometer, "step 0.2").resolution == pytest.approx(0.2)


def test_the_energy_of_half_a_bar_in_a_small_loop_is_a_hammer_from_five_metres() -> None:
    # ASME PCC-2-2008 Art. 5.1 App. II: 1.2 L at 0.5 bar gauge store 49.22 J; 9.81 J lift 1 kg by 1 m
    assert energy(stored_joule(1.2e-3, 50_000)) == "49 J, a 1 kg hammer dropped from 5 m"


def test_a_time_of_day_is_the_last_one_that_the_clock_showed() -> None:
    now = HandClock().now()  # 2026-09-21 15:13:20 at the bench
    assert seen_at("15:13", now) == START_MS - 20_000
    assert seen_at("15:14", now) == START_MS + 40_000 - 86_400_000


@pytest.mark.parametrize("text", ["25:00", "12:60", "noon", "12", ""])
def test_what_is_no_time_of_day_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        seen_at(text, HandClock().now())


def test_a_part_of_a_name_is_enough_where_only_one_has_it() -> None:
    names = {"a": "top radiator", "b": "rear radiator"}
    assert one_of("rear", names, "part") == "b"
    joints = {"a": "CPU block in", "b": "CPU block out", "c": "GPU block in"}
    assert one_of("cpu in", joints, "joint on the list") == "a"
    with pytest.raises(InputError, match="fits CPU block in, GPU block in"):
        one_of("block in", joints, "joint on the list")
    with pytest.raises(InputError, match="fits top radiator, rear radiator"):
        one_of("radiator", names, "part")


def test_a_word_of_command_ends_where_its_blank_is() -> None:
    assert command("notes are good", ["note"]) == ("", "notes are good")
    assert command("NOTE good", ["note"]) == ("note", "good")


def test_a_reading_is_not_taken_for_the_reason_of_a_withdrawal() -> None:
    with pytest.raises(InputError, match="looks like a reading"):
        reason_of("100 1500")
    assert reason_of("wrong fan") == "wrong fan"
