"""Supplies, cables, headers, chains and sweeps for tests of first power and fan headers; all invented."""

from commission.base.frozen import replace
from commission.procedure.connectors import one_to_one
from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.record.machine.joints import Paper
from commission.record.machine.noise import Noise
from commission.record.machine.seats import Chain, Device, Drive, Feed, Header
from commission.stages.fan_headers.model.sweep import Direction, Sweep, SweepReading
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.stages.first_power.judge.cable_shorts import must_be_apart
from commission.stages.first_power.model.cables import Cable, CableTest, ContinuityReading, Meter, ShortReading
from commission.stages.first_power.model.machine_start import MachineStart, PumpSign
from commission.stages.first_power.model.rails import PlugKind, Rail, RailReading, Revision
from commission.stages.first_power.model.wet_watch import LevelLook
from commission.stages.first_power.work.first_power import FirstPower
from tests.fakes import HandClock
from tests.plugs import connector
from tests.wet_builds import answer, filled_build

JOINTS = ("radiator in", "radiator out", "block")
"""Joints of the invented loop."""
VOLTS = {Rail.V12: "12.05", Rail.V5: "5.02", Rail.V3_3: "3.31", Rail.STANDBY: "5.08"}
"""Voltages well inside every window (ATX12V design guide 2.0, table 2: 5 % either way)."""
SOUND = MachineStart(
    sign=PumpSign.SPEED, after_s=2.0, pump_rpm=4700, tach_connected=True, headers_right=True, processor_k=308.15
)
"""A first start at which everything was looked at and is well."""


def supply(book: Logbook, build: str, *hand_made: str, revision: Revision = Revision.ATX2) -> None:
    """Answer the cautions before power and describe the supply."""
    answer(book, build, book.work(FirstPower), When.BEFORE_POWER)
    book.work(FirstPower).describe_supply(build, name="Larkspur 850", revision=revision, hand_made=hand_made)


def cable_test(name: str = "CPU", *, unplugged: bool = True, **changes: float | None) -> CableTest:
    """Return a test of a whole 8-pin processor cable; ``changes`` gives pins another resistance [ohm]."""
    plug = connector("cpu-8-pin")
    wires = one_to_one(plug)
    cable = Cable(name=name, connector=plug, wires=wires, gauge=18, length_m=0.6)
    through = tuple(
        ContinuityReading(load=wire.load, supply=wire.supply, ohm=changes.get(f"pin{wire.load}", 0.3)) for wire in wires
    )
    pins = [pin.name for pin in plug.pins]
    pairs = [(a, b) for n, a in enumerate(pins) for b in pins[n + 1 :] if must_be_apart(plug.net(a), plug.net(b))]
    shorts = tuple(ShortReading(first=a, second=b, ohm=None) for a, b in pairs)
    return CableTest(cable=cable, meter=Meter(lead_ohm=0.2), unplugged=unplugged, continuity=through, shorts=shorts)


def rails(plug: str = "24-pin", kind: PlugKind = PlugKind.BOARD, **volts: str) -> tuple[RailReading, ...]:
    """Return the voltages of a plug as typed; keyword ``V12="11.2"`` changes one."""
    typed = {rail: volts.get(rail.name, text) for rail, text in VOLTS.items()}
    return tuple(
        RailReading(plug=plug, kind=kind, rail=rail, volt=float(text), typed=text) for rail, text in typed.items()
    )


def supplied_build(book: Logbook, clock: HandClock, name: str = "Blue Heron", *, fed: bool = True) -> str:
    """A filled build whose supply alone is within its windows."""
    build = filled_build(book, clock, name=name)
    supply(book, build)
    book.work(FirstPower).read_rails(build, rails())
    if fed:
        book.work(FanHeaders).seats.add_chain(build, FED_BY_THE_SUPPLY)
    return build


def watch_pump(
    book: Logbook,
    clock: HandClock,
    build: str,
    *,
    wet: str = "",
    level: LevelLook = LevelLook.STEADY,
    noise: Noise = Noise.QUIET,
) -> None:
    """Run the pump alone for its half hour, with three looks at each joint."""
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    book.work(FirstPower).start_pump(build, JOINTS)
    for _ in range(3):
        clock.run(620)
        for joint in JOINTS:
            book.work(FirstPower).look(build, joint, Paper.WET if joint == wet else Paper.DRY)
    book.work(FirstPower).end_watch(build, level=level, noise=noise)


def seat_pump(book: Logbook, build: str, seated: Chain, **changes: object) -> None:
    """Write down a pump, and plug it into a header "PUMP" that nothing can stop."""
    lasting = {"rating_ma": 2000, "full_speed_lock": True, **changes}
    book.work(FanHeaders).seats.add_header(build, header("PUMP", **lasting))
    book.work(FanHeaders).seats.add_chain(build, seated)
    answer(book, build, book.work(FanHeaders), When.BEFORE_PLUGGING)
    book.work(FanHeaders).seats.move(build, seated.chain_id, "PUMP")


def powered_build(book: Logbook, clock: HandClock, name: str = "Blue Heron", *, seated: Chain | None = None) -> str:
    """A build that has climbed the whole ladder and was judged, with a pump on its own header where one is given."""
    build = supplied_build(book, clock, name, fed=seated is None)
    if seated is not None:
        seat_pump(book, build, seated)
    watch_pump(book, clock, build)
    answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    book.work(FirstPower).start_machine(build, SOUND)
    assert book.work(FirstPower).close(build).outcome == "pass"
    return build


def header(name: str, **changes: object) -> Header:
    """Return a 4-pin header of 1 A that is set to PWM."""
    made = Header(
        header_id=name, name=name, pins=4, rating_ma=1000, rating_assumed=False,
        modes=(Drive.PWM, Drive.VOLTAGE), set_to=Drive.PWM,
    )  # fmt: skip
    return replace(made, **changes)  # type: ignore[arg-type]


def chain(name: str, fans: int = 3, *, steady_ma: int = 200, start_ma: int | None = 300, **changes: object) -> Chain:
    """Return a chain of 4-wire fans."""
    fan = Device(name="fan", wires=4, steady_ma=steady_ma, start_ma=start_ma, nameplate_rpm=1500)
    made = Chain(chain_id=name, name=name, devices=(fan,) * fans, drive=Drive.PWM, reports=1)
    return replace(made, **changes)  # type: ignore[arg-type]


def pump(**changes: object) -> Chain:
    """Return a pump that is to run at full speed."""
    device = Device(name="pump", wires=4, steady_ma=800, start_ma=900, nameplate_rpm=4800)
    made = Chain(
        chain_id="pump", name="pump", devices=(device,), drive=Drive.PWM, pump=True, reports=1, control_wanted=False
    )
    return replace(made, **changes)  # type: ignore[arg-type]


FED_BY_THE_SUPPLY = pump(chain_id="loop pump", name="loop pump", feed=Feed.SUPPLY, reports=None)
"""A pump that hangs on the supply alone, without a tach lead."""


def level(duty: float, *speeds: float | None, way: Direction = Direction.DOWN) -> tuple[SweepReading, ...]:
    """Return the readings of one duty."""
    return tuple(SweepReading(duty_pct=duty, rpm=rpm, direction=way) for rpm in speeds)


def falling(share: float = 1.0) -> Sweep:
    """Return a sweep down and up whose speed goes with the duty; ``share`` 0 keeps it at full speed."""
    down = (100, 80, 60, 50, 40, 30)
    rpm = {duty: 1500 - share * 15 * (100 - duty) for duty in down}
    ways = [(duty, Direction.DOWN) for duty in down] + [(duty, Direction.UP) for duty in reversed(down[:-1])]
    return Sweep(readings=tuple(r for duty, way in ways for r in level(duty, rpm[duty], rpm[duty] + 2, way=way)))


def plugged(book: Logbook, build: str, *, fans: int = 3) -> None:
    """Write down two headers and a chain, and plug the chain into the first."""
    for name in ("SYS 1", "SYS 2"):
        book.work(FanHeaders).seats.add_header(build, header(name))
    book.work(FanHeaders).seats.add_chain(build, chain("front", fans))
    answer(book, build, book.work(FanHeaders), When.BEFORE_PLUGGING)
    book.work(FanHeaders).seats.move(build, "front", "SYS 1")
