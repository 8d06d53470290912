"""Headers and chains that cannot be written down, each with the sentence that says why."""

import pytest

from commission.base.frozen import replace
from commission.record.machine.seats import Chain, Device, Drive, Header
from commission.stages.fan_headers.model.sheet import complaints_about_chain, complaints_about_header

HEADER = Header(
    header_id="1", name="CPU", pins=4, rating_ma=2000, rating_assumed=False, modes=(Drive.PWM, Drive.VOLTAGE)
)
FAN = Device(name="fan", wires=4, steady_ma=200, start_ma=300, nameplate_rpm=1500)
CHAIN = Chain(chain_id="a", name="top", devices=(FAN, FAN), drive=Drive.PWM, reports=1)


def test_sound_ones_are_written_down() -> None:
    assert complaints_about_header(HEADER, [replace(HEADER, header_id="2", name="SYS1")]) == ()
    assert complaints_about_header(HEADER, [HEADER]) == ()  # corrected under its own id
    assert complaints_about_chain(CHAIN, [CHAIN]) == ()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"name": " "}, "no name"),
        ({"name": "cpu", "header_id": "2"}, 'a header "cpu" already'),
        ({"pins": 2}, "2 pins"),
        ({"pins": 3}, "no pin for PWM"),
        ({"rating_ma": 0}, "outside 1 to 20000; in watts divide by 12 V"),
        ({"rating_ma": 20_001}, "outside"),
        ({"modes": ()}, "offers no mode"),
        ({"set_to": Drive.FIXED}, "none of its modes"),
    ],
)
def test_a_header_that_cannot_be(changes: dict[str, object], words: str) -> None:
    found = complaints_about_header(replace(HEADER, **changes), [HEADER])  # type: ignore[arg-type]
    assert len(found) == 1
    assert words in found[0]


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"name": ""}, "no name"),
        ({"name": "TOP", "chain_id": "b"}, 'a chain "TOP" already'),
        ({"devices": (), "reports": None}, "no fan and no pump"),
        ({"pump": True}, "sits alone"),
        ({"devices": (replace(FAN, wires=3), FAN)}, "3 wires cannot be driven by PWM"),
        ({"devices": (replace(FAN, steady_ma=0), FAN)}, "0 mA is outside"),
        ({"devices": (replace(FAN, start_ma=100), FAN)}, "below the steady one"),
        ({"devices": (replace(FAN, nameplate_rpm=60_001),)}, "60001 rpm"),
        ({"devices": (replace(FAN, pulses=9),)}, "9 pulses"),
        ({"devices": (replace(FAN, wires=5),)}, "5 wires"),
        ({"reports": 3}, "device 3"),
        ({"devices": (replace(FAN, wires=2),), "drive": Drive.FIXED}, "no tach to report"),
    ],
)
def test_a_chain_that_cannot_be(changes: dict[str, object], words: str) -> None:
    found = complaints_about_chain(replace(CHAIN, **changes), [CHAIN])  # type: ignore[arg-type]
    assert len(found) == 1
    assert words in found[0]
