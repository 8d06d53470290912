"""Makes sample_logs/workshop.jsonl: the invented workshop that ``commission demo`` shows.

Run ``python tests/make_demo_logbook.py`` from the top folder to write it again. Everything is recorded through the
logbook itself, on a clock wound by hand and with counted ids. What the gauges show comes from the simulated bench of
``make_sample_logs``; the verdicts are what the program made of it, and a test compares their words with the truth.
"""

import itertools
import sys
import tempfile
from pathlib import Path

from commission import __version__
from commission.record.mishaps import Mishaps
from commission.stages.build_sheet.work import Sheet
from commission.stages.pressure_hold.work.holds import Holds

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from commission.base.frozen import replace
from commission.base.quantity import Measured, Quantity
from commission.base.verdict import Outcome
from commission.bootstrap import Opened, export_bundle
from commission.procedure.load import default_toml
from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.record.logged import Sample
from commission.record.machine.instrument import Instrument, InstrumentKind
from commission.record.machine.joints import Paper
from commission.record.machine.parts import Material, Part, PartKind, tube_volume
from commission.record.ports import Machine
from commission.stages.pressure_hold.entries import Ending, HoldPlan, SourceOff
from commission.stages.pressure_hold.shell.caution_text import caution_lines
from commission.stages.thermal_soak.card.coolant import coolant_in
from commission.stages.thermal_soak.files.soak_csv import read_soak
from commission.stages.thermal_soak.typed.plan import read_plan
from commission.stages.thermal_soak.work.soaks import Soaks
from commission.units.parse import parse
from tests.demo_coolant import LOFT_BOTTLES, CoolantAuthor
from tests.demo_power import DAY_S, PowerAuthor
from tests.demo_service import ServiceAuthor
from tests.fakes import HandClock
from tests.make_sample_logs import BENCHES, FOLDER, Bench, rows
from tests.registered import REGISTRY, open_log

TARGET = FOLDER / "workshop.jsonl"
SATURDAY_MS = 1_773_475_200_000
"""2026-03-14 08:00 UTC."""

GAUGE = Instrument(
    instrument_id="digital gauge",
    kind=InstrumentKind.GAUGE,
    name="digital gauge",
    unit="mbar",
    resolution=10,
    accuracy=500,
    low=0,
    high=100_000,
    calibrated_on="2025-11-03",
)
DIAL = replace(
    GAUGE, instrument_id="dial gauge", name="dial gauge of the hand pump", resolution=2_000, accuracy=10_000,
    high=400_000, calibrated_on="",
)  # fmt: skip
THERMOMETER = Instrument(
    instrument_id="thermometer",
    kind=InstrumentKind.THERMOMETER,
    name="thermometer at the loop",
    unit="degC",
    resolution=0.1,
    accuracy=0.5,
    low=263.15,
    high=333.15,
)
BAROMETER = Instrument(
    instrument_id="barometer",
    kind=InstrumentKind.BAROMETER,
    name="window barometer",
    unit="hPa",
    resolution=10,
    accuracy=100,
    low=80_000,
    high=110_000,
)


def part(kind: PartKind, name: str, ml: float, u_ml: float, bar: float | None, *materials: Material) -> Part:
    """Describe a part; volumes in mL, the rating in bar."""
    return Part(
        part_id=name,
        kind=kind,
        name=name,
        volume_m3=ml * 1e-6,
        u_volume_m3=u_ml * 1e-6,
        max_gauge_pa=None if bar is None else bar * 1e5,
        materials=materials,
        assumed=() if u_ml < 10 else ("volume",),
    )


WINDOW_DESK = (
    part(PartKind.RADIATOR, "top radiator 360", 300, 40, 1.0, Material.COPPER, Material.BRASS),
    part(PartKind.RADIATOR, "side radiator 360", 300, 40, 1.0, Material.COPPER, Material.BRASS),
    part(PartKind.CPU_BLOCK, "CPU block", 14, 4, 1.0, Material.COPPER, Material.NICKEL, Material.ACRYLIC),
    part(PartKind.GPU_BLOCK, "GPU block", 38, 8, 1.0, Material.COPPER, Material.NICKEL, Material.ACETAL),
    part(PartKind.PUMP, "pump and top", 42, 6, 1.0, Material.ACETAL, Material.STAINLESS_STEEL),
    part(PartKind.RESERVOIR, "tube reservoir", 285, 5, 0.7, Material.ACRYLIC, Material.ACETAL),
    part(PartKind.FITTINGS, "sixteen fittings", 32, 8, 1.5, Material.BRASS, Material.NICKEL),
    replace(
        part(PartKind.TUBE, "hard tube 10 mm bore", 0, 5, 3.0, Material.PETG), volume_m3=tube_volume(0.010, 2.3)
    ),
)  # fmt: skip
CORNER_TOWER = (
    part(PartKind.RADIATOR, "top radiator 360", 300, 40, 1.0, Material.COPPER, Material.BRASS),
    part(PartKind.RADIATOR, "front radiator 280", 270, 40, 1.0, Material.COPPER, Material.BRASS),
    part(PartKind.CPU_BLOCK, "CPU block", 14, 4, 1.0, Material.COPPER, Material.NICKEL, Material.ACRYLIC),
    part(PartKind.PUMP, "pump and top", 42, 6, 1.0, Material.ACETAL, Material.STAINLESS_STEEL),
    part(PartKind.RESERVOIR, "tube reservoir", 385, 5, 0.7, Material.ACRYLIC, Material.ACETAL),
    part(PartKind.TUBE, "soft tube 13 mm bore", 174, 9, 2.0, Material.RUBBER),
)
TRAVEL_BOX = (
    part(PartKind.RADIATOR, "slim radiator 240", 190, 60, 0.8, Material.BARE_ALUMINIUM),
    part(PartKind.CPU_BLOCK, "CPU block", 12, 4, 1.0, Material.COPPER, Material.NICKEL),
    part(PartKind.PUMP, "pump with small tank", 110, 9, None, Material.ACETAL),
)
PLAN = HoldPlan(
    limit_pa_m3_s=1e-3,
    hold_s=1800,
    settle_s=None,
    target_gauge_pa=50_000,
    every_s=300,
    gauge=GAUGE,
    thermometer=THERMOMETER,
    barometer=BAROMETER,
    room_swing_k=1.0,
    volume_m3=1.2e-3,
    u_volume_m3=1.5e-5,
    volume_basis="measured on air",
)


class Author:
    """Writes the workshop's record, entry by entry."""

    def __init__(self, book: Logbook, clock: HandClock) -> None:
        self.book = book
        self.clock = clock
        self.coolant = CoolantAuthor(book, clock)
        self.power = PowerAuthor(book, clock)

    def write(self) -> None:
        """Write all of it."""
        self.book.name_operator("Ilka")
        for instrument in (GAUGE, DIAL, THERMOMETER, BAROMETER):
            self.clock.run(40)
            self.book.add_instrument(instrument)
        desk = self.sheet("Window desk", WINDOW_DESK)
        self.volume(desk)
        self.fed_hold(desk, _bench("pinched-seal"), PLAN)
        self.let_down(desk)
        self.cure(desk)
        self.passed_hold(desk, _bench("pinched-seal-cured"))
        self.let_down(desk)
        self.coolant.fill_desk(desk)
        self.coolant.bleed_desk(desk)
        self.clock.run(16 * 3600)
        tower = self.sheet("Corner tower", CORNER_TOWER)
        bench = _bench("tight-loop")
        self.fed_hold(tower, bench, replace(PLAN, hold_s=bench.hold_s, u_volume_m3=6e-5, volume_basis="parts"))
        self.let_down(tower)
        self.coolant.fill_tower(tower)
        self.coolant.bleed_tower(tower)
        self.clock.run(3600)
        box = self.sheet("Travel box", TRAVEL_BOX)
        self.book.add_note(box, "waiting for a copper radiator before anything is pumped up")
        self.clock.run(20 * 3600)
        self.power.power_desk(desk)
        self.power.sweep_desk(desk)
        self.clock.run(3600)
        self.power.power_tower(tower)
        self.power.split_tower(tower)
        self.clock.run(3 * DAY_S)
        self.power.replug_desk(desk)
        self.clock.run(3600)
        loft = self.finished_desk()
        self.leaking_cube()
        self.planned_shelf()
        ServiceAuthor(self.book, self.clock).serve(loft)

    def finished_desk(self) -> str:
        """A second desk like the first goes through every stage, and nothing is changed afterwards."""
        desk = self.sheet("Loft desk", WINDOW_DESK)
        self.volume(desk)
        self.passed_hold(desk, _bench("pinched-seal-cured"))
        self.let_down(desk)
        self.coolant.fill_desk(desk, *LOFT_BOTTLES)
        self.coolant.bleed_desk(desk, LOFT_BOTTLES[1])
        self.clock.run(16 * 3600)
        self.power.power_desk(desk)
        self.power.finish_desk(desk)
        self.soak_desk(desk)
        return desk

    def soak_desk(self, desk: str) -> None:
        """An hour and a half under a steady load: one reading a minute out of a logger's file."""
        self.clock.run(1800)
        work = self.book.work(Soaks)
        self.power.answer(desk, work, When.BEFORE_SOAK)
        file = read_soak(FOLDER / "soaks" / "settles.csv")
        work.start(desk, read_plan(coolant_in(self.book.build(desk)) or ""))
        self.clock.run(5500)
        work.read(desk, file.readings[::6], file="settles.csv")
        work.look(desk, work.joints(self.book.build(desk)), Paper.DRY)
        assert work.close(desk).outcome is Outcome.PASS

    def leaking_cube(self) -> None:
        """A hold fails, the leak is found, and nobody has repaired it yet."""
        self.clock.run(3600)
        cube = self.sheet("Guest cube", CORNER_TOWER)
        self.fed_hold(cube, _bench("pinched-seal"), replace(PLAN, u_volume_m3=6e-5, volume_basis="parts"))
        self.let_down(cube)
        self.clock.run(900)
        self.book.work(Holds).raise_finding(
            cube, where="seal", part_id="front radiator 280", note="bubbles at the upper port; new seal is on order"
        )

    def planned_shelf(self) -> None:
        """A hold is planned; ``commission demo`` starts it when it is shown, so that it runs then."""
        self.clock.run(3600)
        shelf = self.sheet("North shelf", CORNER_TOWER)
        self.book.work(Holds).plan(shelf, replace(PLAN, hold_s=2400, u_volume_m3=6e-5, volume_basis="parts"))

    def sheet(self, name: str, parts: tuple[Part, ...]) -> str:
        """Open a build and describe its loop."""
        self.clock.run(300)
        build = self.book.open_build(name)
        for one in parts:
            self.clock.run(60)
            self.book.work(Sheet).add_part(build, one, typed=(f"{one.volume_m3 * 1e6:.0f} mL",))
        return build

    def volume(self, build: str) -> None:
        """Ten strokes of 60 mL at 1008.3 hPa raise the loop by 504.2 mbar: 10 · 60 mL · 1008.3 / 504.2 = 1.2 L."""
        self.clock.run(1200)
        inputs = (
            Measured(quantity=Quantity.RATIO, si=10.0, typed="10"),
            parse("60 mL", Quantity.VOLUME),
            parse("1008.3 hPa", Quantity.ABSOLUTE_PRESSURE),
            parse("504.2 mbar", Quantity.PRESSURE_DIFFERENCE),
        )
        volume = inputs[0].si * inputs[1].si * inputs[2].si / inputs[3].si
        self.book.work(Sheet).measure_volume(
            build, method="strokes", volume_m3=volume, u_volume_m3=1.5e-5, inputs=inputs
        )  # fmt: skip

    def begin(self, build: str, plan: HoldPlan) -> None:
        """Plan the hold, answer the cautions, do the steps, shut the source off."""
        state = self.book.build(build)
        stage = self.book.procedure(state).stage("pressure_hold")
        cautions = stage.cautions_at(When.BEFORE_PRESSURE)
        self.book.work(Holds).plan(build, plan)
        for caution, line in zip(
            cautions, caution_lines(stage, state.parts, plan), strict=False
        ):  # the others are shown
            self.clock.run(12)
            self.book.work(Holds).acknowledge(build, caution.id, line.removeprefix("caution: "))
        for step in stage.steps:
            self.clock.run(180)
            self.book.work(Holds).do_step(build, step.id)
        self.clock.run(15)
        self.book.work(Holds).isolate(build, SourceOff.HOSE_OFF)
        self.clock.run(15)
        self.book.work(Holds).start(build)

    def let_down(self, build: str) -> None:
        """Let the pressure down and see the gauge at zero."""
        self.clock.run(120)
        self.book.work(Holds).let_down(build, Measured(quantity=Quantity.GAUGE_PRESSURE, si=0.0, typed="0.0 mbar"))

    def fed_hold(self, build: str, bench: Bench, plan: HoldPlan) -> None:
        """A logger feeds the hold."""
        self.begin(build, plan)
        start_ms = self.clock.wall_ms
        for row in rows(bench):
            self.clock.run((start_ms - self.clock.wall_ms) / 1000 + row.elapsed_s)
            sample = Sample(
                elapsed_s=row.elapsed_s,
                wall_ms=self.clock.wall_ms,
                pressure_pa=parse(f"{row.pressure} mbar", Quantity.GAUGE_PRESSURE).si,
                air_k=parse(f"{row.air} degC", Quantity.TEMPERATURE).si,
                barometer_pa=parse(f"{row.barometer} hPa", Quantity.ABSOLUTE_PRESSURE).si,
                typed=",".join((row.clock, row.pressure, row.air, row.barometer)),
            )
            self.book.work(Holds).stream(build, [sample])
        self.clock.run(20)
        self.book.work(Holds).close(build, Ending.PLANNED)
        self.book.work(Holds).let_down(build, parse("0 mbar", Quantity.GAUGE_PRESSURE))

    def cure(self, build: str) -> None:
        """The fault is found and cured."""
        self.clock.run(900)
        self.book.work(Holds).raise_finding(
            build, where="seal", part_id="side radiator 360", note="bubbles at the lower port: its seal sat pinched"
        )
        self.clock.run(1500)
        finding = self.book.build(build).findings[0].raised.finding_id
        self.book.work(Mishaps).repaired(build, finding, "new seal, port wiped dry, plug turned home by hand")

    def passed_hold(self, build: str, bench: Bench) -> None:
        """The retest is typed by hand, with one slip of the finger that is withdrawn; it passes."""
        self.clock.run(600)
        typed = replace(bench, every_s=300, hold_s=2700, pressure="gauge [mbar]", with_barometer=True)
        self.begin(build, replace(PLAN, hold_s=2700))
        start_ms = self.clock.wall_ms
        for number, row in enumerate(rows(typed)):
            self.clock.run((start_ms - self.clock.wall_ms) / 1000 + row.elapsed_s)
            if number == 4:
                slip = self.read(build, row.pressure.replace("4", "5", 1), row.air, "")
                self.clock.run(15)
                self.book.withdraw(slip, "typed 5 for 4")
            self.read(build, row.pressure, row.air, row.barometer if number % 3 == 0 else "")
        self.clock.run(25)
        self.book.work(Holds).close(build, Ending.PLANNED)
        self.book.work(Holds).let_down(build, parse("0 mbar", Quantity.GAUGE_PRESSURE))

    def read(self, build: str, pressure: str, air: str, barometer: str) -> int:
        """Type one line and return the number of its entry."""
        read = self.book.work(Holds).read(
            build,
            pressure=parse(f"{pressure} mbar", Quantity.GAUGE_PRESSURE),
            air=parse(f"{air} degC", Quantity.TEMPERATURE),
            barometer=parse(f"{barometer} hPa", Quantity.ABSOLUTE_PRESSURE) if barometer else None,
        )
        return read.seq


def _bench(file: str) -> Bench:
    return next(bench for bench in BENCHES if bench.file == file)


def make(folder: Path) -> list[str]:
    """Return the lines of the bundle; the logbook is written in a folder and left there."""
    ids = itertools.count(1)
    clock = HandClock(wall_ms=SATURDAY_MS)
    log = open_log(folder / "workshop.logbook", holder="the author")
    book = Logbook(
        log,
        clock,
        registry=REGISTRY,
        procedure_toml=default_toml(),
        program=__version__,
        machine=lambda: Machine(sqlite="3", python="3", system="a bench laptop"),
        new_id=lambda: f"{next(ids):032x}",
    )
    Author(book, clock).write()
    lines = list(export_bundle(Opened(book=book, path=log.path)))
    book.close()
    return lines


def main() -> None:
    """Write the bundle."""
    with tempfile.TemporaryDirectory() as folder:
        TARGET.write_text("".join(make(Path(folder))), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
