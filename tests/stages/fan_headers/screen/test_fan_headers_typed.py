"""What is typed of headers, chains and levels: understood, or refused in one line that says what to type."""

import pytest

from commission.base.errors import InputError
from commission.record.machine.seats import Drive, Feed, StopCause
from commission.stages.fan_headers.at_hand import leading
from commission.stages.fan_headers.model.sweep import Direction
from commission.stages.fan_headers.typed.chain import chain_text, read_chain
from commission.stages.fan_headers.typed.header import header_text, read_header, read_setting
from commission.stages.fan_headers.typed.looked_at import read_moment
from commission.stages.fan_headers.typed.sweep import level_line, level_text, next_duty, read_level


def test_a_header_is_its_label_as_printed_and_what_the_manual_says() -> None:
    header = read_header("SYS_FAN 2 4-pin 1,5 A pwm/voltage set voltage near the front edge")
    assert (header.name, header.pins, header.rating_ma, header.rating_assumed) == ("SYS_FAN 2", 4, 1500, False)
    assert (header.modes, header.set_to) == ((Drive.PWM, Drive.VOLTAGE), Drive.VOLTAGE)
    assert header.place == "the front edge"


def test_a_header_without_a_rating_gets_one_ampere_and_says_so() -> None:
    header = read_header("AUX 3-pin voltage")
    assert (header.rating_ma, header.rating_assumed) == (1000, True)
    assert "ASSUMED" in header_text(header)


def test_a_lock_and_what_can_still_stop_a_pump_are_both_written_down() -> None:
    header = read_header("PUMP lock stop silent")
    assert header.full_speed_lock
    assert header.stops == (StopCause.FAN_STOP, StopCause.SILENT_PROFILE)
    assert header.may_stop_a_pump


@pytest.mark.parametrize("line", ["CPU 4-pin 24 W pwm", "CPU 4-pin 24W pwm"])
def test_a_rating_in_watts_is_asked_back_in_amperes(line: str) -> None:
    with pytest.raises(InputError, match=r"is a power, a current is asked for. At 12 V that is 2 A"):
        read_header(line)


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("", "type the label"),
        ("CPU 4-pin 2", "of what"),
        ("CPU 4-pin 2 A blinking", '"blinking" is not known'),
        ("CPU 4-pin 2 A pwm set loud", "no way of driving"),
        (f"{'C' * 50} 4-pin 2 A", "the most"),
    ],
)
def test_a_header_that_cannot_be_understood_is_refused_in_one_line(line: str, why: str) -> None:
    with pytest.raises(InputError, match=why) as refused:
        read_header(line)
    assert "\n" not in str(refused.value)


def test_a_setting_names_all_that_holds_from_now_on() -> None:
    header = read_header("SYS 4-pin 1 A pwm/voltage set pwm lock")
    changed = read_setting(header, "voltage zero")
    assert (changed.set_to, changed.full_speed_lock, changed.stops) == (Drive.VOLTAGE, False, (StopCause.ZERO_DUTY,))
    assert read_setting(header, "auto").set_to is None
    with pytest.raises(InputError, match="is no setting"):
        read_setting(header, "quietly")


def test_a_chain_of_unlike_fans_keeps_their_order_and_adds_their_currents() -> None:
    chain = read_chain("front 2 fans 4-wire 0.2 A start 0.3 A 1500 rpm + 1 fan 4-wire 250 mA zone cpu reports 3 hub")
    assert [device.steady_ma for device in chain.devices] == [200, 200, 250]
    assert [device.name for device in chain.devices] == ["fan 1", "fan 2", "fan 3"]
    assert (chain.steady_ma, chain.start_ma(2.0)) == (650, 1100), "0.3 + 0.3 + 2 x 0.25 A by hand"
    assert (chain.reports, chain.zone, chain.feed) == (3, "cpu", Feed.HUB)
    assert "2 fans 4-wire 0.2 A each" in chain_text(chain)
    assert "+ 1 fan 4-wire 0.25 A" in chain_text(chain)


def test_a_pump_is_known_by_its_name_and_a_pump_room_with_fans_is_none() -> None:
    assert read_chain("pump 4-wire 1.5 A start 2 A full least 40 %").pump
    for wires in ("4-pin", "4 pin", "4-wire", "4wire"):
        assert read_chain(f"top 2 fans {wires} 200 mA 1500 rpm") == read_chain("top 2 fans 4 wire 0.2 A 1500 rpm")
    assert not read_chain("pump room 2 fans 4-wire 0.2 A").pump


def test_three_wires_are_driven_by_voltage_unless_the_line_says_otherwise() -> None:
    assert read_chain("rear 3-wire 0.15 A").drive is Drive.VOLTAGE
    assert read_chain("rear 4-wire 0.15 A voltage").drive is Drive.VOLTAGE
    assert read_chain("rear 2-wire 0.15 A").reports is None, "two wires have no tach"


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("front 3 fans 4-wire 2.4 W", r"is a power.*0.2 A"),
        ("front 3 fans 4-wire 0.2 A start 3.6 W", "is a power"),
        ("front 3 fans 4-wire", "type the current of one fan"),
        ("front 3 fans 4-wire 0.2", "of what"),
        ("front 3 fans 4-wire 0.2 A 0.3 A", "second current"),
        ("front 99 fans 4-wire 0.2 A", "outside 1 to 24"),
        ("front 3 fans 4-wire 0.2 A 70000 rpm", "outside 0 to 60000"),
        ("front 3 fans 4-wire 0.2 A 1,500 rpm", "is that 1500 rpm"),
        ("front 3 fans 4-wire 25 A", "outside 1 to 20000"),
        ("front 0.2 A purple", '"purple" is not known'),
        ("front 0.2 A reach CPU", "type header and cable"),
        ("front 0.2 A zone", "type a value after zone"),
        ("", "type the chain's name"),
    ],
)
def test_a_chain_that_cannot_be_understood_is_refused_in_one_line(line: str, why: str) -> None:
    with pytest.raises(InputError, match=why) as refused:
        read_chain(line)
    assert "\n" not in str(refused.value)


# --- levels --------------------------------------------------------------------------------------------------


def test_a_level_is_typed_with_its_duty_or_without_where_that_one_was_asked_for() -> None:
    assert level_text(level_line("1254", 80.0, ())) == "80 %: 1254 rpm, down"
    assert level_text(level_line("80 % 1254 1251 rpm", 80.0, ())) == "80 %: 1254, 1251 rpm, down"
    assert level_text(level_line("lost", 60.0, read_level("80 1254 down"))) == "60 %: lost rpm, down"
    assert level_text(level_line("60 0", 80.0, ())) == "60 %: 0 rpm, down"


def test_the_way_of_a_level_comes_from_the_order_and_can_be_said() -> None:
    down = (*read_level("100 1500 down"), *read_level("30 460 down"))
    assert level_line("40 605", None, down)[0].direction is Direction.UP
    assert level_line("30 462", None, down)[0].direction is Direction.DOWN, "the same duty again is the same way"
    assert level_line("40 605 down", None, down)[0].direction is Direction.DOWN


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("80", "is it the duty or the speed"),
        ("120 1500", "a duty of 120 % is outside 0 to 100"),
        ("120 % 1500", "a duty of 120 % is outside 0 to 100"),
        ("80 70000", "outside 0 to 60000"),
        ("70000", "outside 0 to 60000"),
        ("-5 1500", "outside 0 to 100"),
        ("80 1,254", "is that 1254 rpm"),
        ("80 quick", "quick"),
        ("80 1254 up down", "once"),
        ("", "type the duty"),
    ],
)
def test_a_level_that_cannot_be_is_refused(line: str, why: str) -> None:
    with pytest.raises(InputError, match=why):
        level_line(line, 80.0, ())


def test_what_was_read_before_full_speed_is_no_way_down() -> None:
    assert next_duty([*read_level("60 900"), *read_level("100 1500")], 30.0) == 80.0


def test_a_sweep_goes_no_lower_than_the_floor_of_its_chain() -> None:
    done = [one for duty in (100, 80, 60, 50) for one in read_level(f"{duty} 900")]
    assert next_duty(done, 45.0) == 45.0
    assert next_duty([*done, *read_level("45 800")], 45.0) == 50.0


# --- names and times -----------------------------------------------------------------------------------------


def test_a_name_with_blanks_is_found_before_a_shorter_one_that_begins_alike() -> None:
    names = {"a": "SYS", "b": "SYS 1", "c": "SYS 10"}
    assert leading("sys 1 # why", names, "header") == ("b", "# why")
    assert leading("SYS 10", names, "header") == ("c", "")
    assert leading("sys # why", names, "header") == ("a", "# why")
    with pytest.raises(InputError, match="is no header"):
        leading("CPU", names, "header")
    with pytest.raises(InputError, match="type the header"):
        leading("  ", names, "header")


def test_a_day_means_its_end_and_a_minute_the_end_of_that_minute_on_the_wall_clock_of_the_bench() -> None:
    now = 1_790_000_000_000  # 2026-09-21 14:13:20 UTC
    end_of_day = read_moment("2026-09-14", now, 60)
    assert end_of_day == 1_789_426_799_999, "2026-09-14 22:59:59.999 UTC, an hour behind the bench; by the date command"
    assert read_moment("14.09.2026", now, 60) == end_of_day
    assert read_moment("yesterday", now, 60) == read_moment("2026-09-20", now, 60)
    assert read_moment("2026-09-14 10:30", now, 0) == 1_789_381_859_999
    for text in ("2026-09-22", "tomorrow", "14", "2026-13-01", ""):
        with pytest.raises(InputError):
            read_moment(text, now, 60)
