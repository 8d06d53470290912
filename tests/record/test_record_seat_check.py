"""What a header may carry: in whole milliamperes, with pumps blocked wherever something can stop them."""

from functools import partial

import pytest

from commission.base.frozen import replace
from commission.record.machine import seat_check
from commission.record.machine.seats import Chain, Device, Drive, Feed, Header, StopCause

FAN = Device(name="fan", wires=4, steady_ma=200)
SYS = Header(
    header_id="1", name="SYS1", pins=4, rating_ma=1000, rating_assumed=False, modes=(Drive.PWM,), set_to=Drive.PWM
)
PUMP = Chain(
    chain_id="p",
    name="pump",
    devices=(Device(name="pump", wires=4, steady_ma=1500, start_ma=2000),),
    drive=Drive.PWM,
    pump=True,
)
check_seat = partial(seat_check.check_seat, steady_percent=80, start_factor=2.0)
LOCKED = replace(SYS, name="PUMP", rating_ma=3000, full_speed_lock=True)


def fans(count: int, **changes: object) -> Chain:
    return Chain(chain_id="c", name="top", devices=(replace(FAN, **changes),) * count, drive=Drive.PWM)  # type: ignore[arg-type]


def codes(phrases: tuple[object, ...]) -> list[str]:
    return [phrase.code for phrase in phrases]  # type: ignore[attr-defined]


def test_three_fans_fit_and_five_do_not() -> None:
    # Source: budget of 80 % of 1 A, our own proposal; 3 x 200 = 600, 5 x 200 = 1000 > 800 mA. Status: computed.
    three, five = check_seat([fans(3, start_ma=300)], SYS), check_seat([fans(5, start_ma=200)], SYS)
    assert (three.steady_ma, three.start_ma, three.allowed) == (600, 900, True)
    assert (codes(five.blocked), codes(five.may_override)) == ([], ["steady_over"])  # within 1 A: only our own share


def test_no_current_above_the_rating_may_be_let_be_and_a_guess_may() -> None:
    # Source: rating of 1 A; six of 200 mA are 1200 mA, four that start with 300 mA each are 1200 mA. Status: computed.
    six, four = check_seat([fans(6, start_ma=200)], SYS), check_seat([fans(4, start_ma=300)], SYS)
    assert (codes(six.blocked), six.may_override) == (["steady_over", "start_over"], ())
    assert (codes(four.blocked), four.may_override) == (["start_over"], ())
    # one label of three tells a start: 700 + 200 + 200 are above 1 A whatever the guess for the others is
    told = replace(fans(3), devices=(replace(FAN, start_ma=700), FAN, FAN))
    assert codes(check_seat([told], SYS).blocked) == ["start_over"]
    less = replace(fans(3), devices=(replace(FAN, start_ma=500), FAN, FAN))
    assert (codes(check_seat([less], SYS).blocked), codes(check_seat([less], SYS).may_override)) == ([], ["start_over"])


def test_an_unknown_start_is_twice_the_steady_current_and_may_be_overridden() -> None:
    # Source: factor 2.0, our own proposal: 3 x 0.4 = 1.2 A > 1 A. Status: computed.
    check = check_seat([fans(3)], SYS)
    assert (check.start_ma, check.blocked, check.allowed) == (1200, (), False)
    assert "1200 mA (default: 2.0 x steady" in check.may_override[0].template
    assert "start_by_default" in codes(check.warnings)


def test_a_budget_that_is_just_used_up_is_within() -> None:
    assert check_seat([fans(4, start_ma=250)], SYS).allowed  # 800 of 800, 1000 of 1000 mA
    assert not check_seat([fans(4, start_ma=251)], SYS).allowed


@pytest.mark.parametrize("cause", list(StopCause))
def test_anything_that_can_stop_a_pump_blocks_it(cause: StopCause) -> None:
    # Source: safety rule of the trade: 0 %, fan stop, silent profiles and voltage mode all count. Common practice.
    assert check_seat([PUMP], LOCKED).blocked == ()
    check = check_seat([PUMP], replace(LOCKED, stops=(cause,)))
    assert codes(check.blocked) == ["pump_can_stop"]
    assert cause in check.blocked[0].template


def test_a_header_without_a_lock_blocks_a_pump_unless_the_supply_feeds_it() -> None:
    free = replace(LOCKED, full_speed_lock=False)
    assert codes(check_seat([PUMP], free).blocked) == ["pump_can_stop"]
    fed = check_seat([replace(PUMP, feed=Feed.SUPPLY)], free)
    assert (fed.blocked, fed.steady_ma) == ((), 0)


def test_a_pump_sits_alone_and_unlike_drives_do_not_mix() -> None:
    assert "pump_shares" in codes(check_seat([PUMP, fans(1)], LOCKED).blocked)
    both = replace(SYS, modes=(Drive.PWM, Drive.VOLTAGE))
    mixed = [fans(1), replace(fans(1), drive=Drive.VOLTAGE)]
    assert codes(check_seat(mixed, both).blocked) == ["unlike_drives"]


def test_a_setting_that_differs_is_a_warning_and_a_mode_that_is_missing_a_block() -> None:
    both = replace(SYS, modes=(Drive.PWM, Drive.VOLTAGE), set_to=Drive.VOLTAGE)
    check = check_seat([fans(1)], both)
    assert (check.blocked, "mode_differs" in codes(check.warnings)) == ((), True)
    only = replace(SYS, modes=(Drive.VOLTAGE,), set_to=Drive.VOLTAGE)
    assert codes(check_seat([fans(1)], only).blocked) == ["drive_not_offered"]
    assert "mode_unknown" in codes(check_seat([fans(1)], replace(SYS, set_to=None)).warnings)


def test_a_hub_takes_the_current_and_leaves_tach_and_signal() -> None:
    hub = replace(fans(8), feed=Feed.HUB)
    check = check_seat([hub], SYS)
    assert (check.steady_ma, check.start_ma, check.allowed) == (0, 0, True)
    assert {"one_tach", "signal_fan_out"} <= set(codes(check.warnings))


def test_what_labels_and_manuals_do_not_bear_out_is_told() -> None:
    # Source: Intel 4-wire specification rev 1.3, p. 9: 1.5 A at most for one fan.
    thirsty = check_seat([fans(1, steady_ma=1510, start_ma=1600)], replace(SYS, rating_ma=3000, rating_assumed=True))
    assert {"beyond_specification", "rating_assumed"} <= set(codes(thirsty.warnings))
    spec = check_seat([fans(1, steady_ma=1500, start_ma=1600)], replace(SYS, rating_ma=3000))
    assert "beyond_specification" not in codes(spec.warnings)


def test_what_cannot_be_checked_is_refused() -> None:
    for chains, percent, factor in (([], 80, 2.0), ([PUMP], 0, 2.0), ([PUMP], 80, 0.5)):
        with pytest.raises(ValueError, match="at least one chain"):
            check_seat(chains, SYS, steady_percent=percent, start_factor=factor)


def test_a_single_device_has_its_tach_for_itself() -> None:
    both = replace(SYS, modes=(Drive.PWM,))
    assert codes(check_seat([fans(1, start_ma=300)], both).warnings) == []
    assert {"one_tach", "signal_fan_out"} <= set(codes(check_seat([fans(2, start_ma=300)], both).warnings))
