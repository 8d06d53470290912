"""An invented loop, its instruments and a hold on them, for tests of every layer."""

from commission.base.frozen import replace
from commission.base.quantity import Measured, Quantity
from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.record.machine.instrument import Instrument, InstrumentKind
from commission.record.machine.parts import Material, Part, PartKind
from commission.stages.build_sheet.work import Sheet
from commission.stages.pressure_hold.entries import HoldPlan, SourceOff
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import HandClock

GAUGE = Instrument(
    instrument_id="gauge",
    kind=InstrumentKind.GAUGE,
    name="bench gauge",
    unit="mbar",
    resolution=10,
    accuracy=500,
    low=0,
    high=100_000,
)
THERMOMETER = Instrument(
    instrument_id="thermometer",
    kind=InstrumentKind.THERMOMETER,
    name="room thermometer",
    unit="degC",
    resolution=0.1,
    accuracy=0.5,
    low=253.15,
    high=333.15,
)
RADIATOR = Part(
    part_id="radiator",
    kind=PartKind.RADIATOR,
    name="top radiator",
    volume_m3=1.2e-3,
    u_volume_m3=0.03e-3,
    max_gauge_pa=100_000,
    materials=(Material.COPPER, Material.BRASS),
)
PLAN = HoldPlan(
    limit_pa_m3_s=1e-3,
    hold_s=1800,
    settle_s=0,
    target_gauge_pa=50_000,
    every_s=300,
    gauge=GAUGE,
    thermometer=THERMOMETER,
    barometer=None,
    room_swing_k=1.0,
    volume_m3=1.2e-3,
    u_volume_m3=0.03e-3,
    volume_basis="parts",
)


def gauge_reads(millibar: float) -> Measured:
    """Return a gauge reading as if it had been typed in mbar."""
    return Measured(quantity=Quantity.GAUGE_PRESSURE, si=round(millibar, 1) * 100, typed=f"{millibar:.1f} mbar")


def air_reads(celsius: float) -> Measured:
    """Return an air temperature as if it had been typed in °C."""
    return Measured(quantity=Quantity.TEMPERATURE, si=round(celsius, 1) + 273.15, typed=f"{celsius:.1f} degC")


def ready_build(book: Logbook, name: str = "Blue Heron") -> str:
    """Open a build with a part, an operator and instruments, and return its id."""
    if not book.shop().operator:
        book.name_operator("Kim")
        book.add_instrument(GAUGE)
        book.add_instrument(THERMOMETER)
    build_id = book.open_build(name)
    book.work(Sheet).add_part(build_id, replace(RADIATOR, part_id=book.new_id()))
    return build_id


def start_hold(book: Logbook, build_id: str, plan: HoldPlan = PLAN) -> None:
    """Answer the cautions, plan, do the steps and start the clock."""
    prepare_hold(book, build_id, plan)
    book.work(Holds).start(build_id)


def prepare_hold(book: Logbook, build_id: str, plan: HoldPlan = PLAN) -> None:
    """Do all that comes before the clock is started."""
    state = book.build(build_id)
    stage = book.procedure(state).stage("pressure_hold")
    for caution in stage.cautions_at(When.BEFORE_PRESSURE):
        book.work(Holds).acknowledge(build_id, caution.id, caution.text)
    book.work(Holds).plan(build_id, plan)
    for step in stage.steps:
        book.work(Holds).do_step(build_id, step.id)
    book.work(Holds).isolate(build_id, SourceOff.HOSE_OFF)


def type_hold(
    book: Logbook, clock: HandClock, build_id: str, *, start_mbar: float, fall_mbar: float, minutes: int = 30
) -> None:
    """Type a reading every five minutes of a gauge that falls evenly in a steady room."""
    for minute in range(0, minutes + 1, 5):
        book.work(Holds).read(
            build_id,
            pressure=gauge_reads(start_mbar - fall_mbar * minute / minutes),
            air=air_reads(21.0),
        )
        clock.run(300)
