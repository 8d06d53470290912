"""What a layout must know of headers and chains, from what is written down of them."""

from commission.base.frozen import replace
from commission.record.machine.seats import Chain, Device, Drive, Feed, Header, StopCause
from commission.stages.fan_headers.judge.layout_inputs import layout_chain, layout_header

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
LOCKED = replace(SYS, name="PUMP", rating_ma=3000, full_speed_lock=True)


def fans(count: int, **changes: object) -> Chain:
    return Chain(chain_id="c", name="top", devices=(replace(FAN, **changes),) * count, drive=Drive.PWM)  # type: ignore[arg-type]


def test_the_same_header_and_chain_in_brief() -> None:
    assert layout_header(LOCKED).full_speed_lock
    assert not layout_header(replace(LOCKED, stops=(StopCause.SILENT_PROFILE,))).full_speed_lock
    brief = layout_chain(PUMP)
    assert (brief.steady_ma, brief.start_ma, brief.pump) == (1500, 2000, True)
    fed = layout_chain(replace(PUMP, feed=Feed.SUPPLY))
    assert (fed.steady_ma, fed.start_ma, fed.pump) == (0, 0, False)
    assert layout_chain(fans(3)).start_ma is None
