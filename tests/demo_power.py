"""Writes the first power-on and the fan headers of the demo workshop into its record.

Voltages and speeds are those of ``tests/make_sweep_logs.py``, read back from the sample files.
"""

from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.record.machine.joints import Paper
from commission.record.machine.noise import Noise
from commission.record.machine.seats import Chain, Device, Drive, Header, Reach
from commission.record.stage_work import StageWork
from commission.stages.fan_headers.entries import SweepSource
from commission.stages.fan_headers.files.sweep_csv import read_sweep
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.stages.first_power.files.rails_csv import read_rails
from commission.stages.first_power.model.machine_start import MachineStart, PumpSign
from commission.stages.first_power.model.rails import Revision
from commission.stages.first_power.model.wet_watch import LevelLook
from commission.stages.first_power.work.first_power import FirstPower
from tests.fakes import HandClock
from tests.make_sample_logs import FOLDER
from tests.power_builds import cable_test

DAY_S = 86_400
JOINTS = (
    "top radiator in", "top radiator out", "side radiator in", "side radiator to reservoir", "CPU block", "GPU block",
)  # fmt: skip
"""Joints of the window desk that can be wet."""
FAN = Device(name="fan 120", wires=4, steady_ma=200, start_ma=300, nameplate_rpm=1500, level_db=24.0)
PUMP = Device(name="pump", wires=4, steady_ma=1500, start_ma=1900, nameplate_rpm=4800)


def header(label: str, rating_ma: int, set_to: Drive | None, *, lock: bool = False) -> Header:
    """Describe a 4-pin header that knows both ways of driving."""
    return Header(
        header_id=label, name=label, pins=4, rating_ma=rating_ma, rating_assumed=False,
        modes=(Drive.PWM, Drive.VOLTAGE), set_to=set_to, full_speed_lock=lock,
    )  # fmt: skip


def fans(name: str, count: int, zone: str, reach: dict[str, int]) -> Chain:
    """Describe a chain of equal fans; cable in cm by header."""
    return Chain(
        chain_id=name, name=name, devices=(FAN,) * count, drive=Drive.PWM, reports=1, zone=zone,
        reach=tuple(Reach(header=label, cable_cm=cm) for label, cm in reach.items()),
    )  # fmt: skip


class PowerAuthor:
    """Writes ladders, headers, chains and sweeps, entry by entry."""

    def __init__(self, book: Logbook, clock: HandClock) -> None:
        self.book = book
        self.clock = clock

    # --- the window desk: a whole ladder, a starved chain and its cure, a chain that moves -------------------------

    def power_desk(self, build: str) -> None:
        """Climb the ladder: a hand-made cable, the supply alone, the pump alone, the machine; it passes."""
        self.answer(build, self.book.work(FirstPower), When.BEFORE_POWER)
        self.clock.run(60)
        self.book.work(FirstPower).describe_supply(
            build, name="Larkspur 850", revision=Revision.ATX2, hand_made=("processor 8-pin",)
        )
        self.clock.run(1500)
        self.book.work(FirstPower).test_cable(build, cable_test("processor 8-pin"))
        self.clock.run(900)
        supply = read_rails(FOLDER / "rails" / "all-within.csv")
        self.book.work(FirstPower).read_rails(build, supply.readings, power_good_ms=210.0)
        self.plug_desk(build)
        self.watch(build)
        self.answer(build, self.book.work(FirstPower), When.BEFORE_MACHINE)
        self.clock.run(600)
        seen = MachineStart(
            sign=PumpSign.SPEED, after_s=2.0, pump_rpm=4710, tach_connected=True, headers_right=True, processor_k=309.15
        )
        self.book.work(FirstPower).start_machine(build, seen)
        self.clock.run(60)
        self.book.work(FirstPower).close(build)

    def plug_desk(self, build: str) -> None:
        """Write down what the board has, and plug it in while it is dark."""
        for one in (
            header("PUMP", 3000, Drive.PWM, lock=True),
            header("FAN A", 1000, Drive.VOLTAGE),
            header("FAN B", 1000, Drive.PWM),
        ):
            self.clock.run(40)
            self.book.work(FanHeaders).seats.add_header(build, one)
        pump = Chain(
            chain_id="pump", name="pump", devices=(PUMP,), drive=Drive.PWM, pump=True, reports=1, control_wanted=False
        )
        for chain in (pump, fans("top", 3, "top radiator", {"FAN A": 25, "FAN B": 60})):
            self.clock.run(40)
            self.book.work(FanHeaders).seats.add_chain(build, chain)
        self.answer(build, self.book.work(FanHeaders), When.BEFORE_PLUGGING)
        for chain_id, header_id in (("pump", "PUMP"), ("top", "FAN A")):
            self.clock.run(120)
            self.book.work(FanHeaders).seats.move(build, chain_id, header_id)

    def watch(self, build: str) -> None:
        """Half an hour with the pump alone, and dry paper at every joint."""
        self.answer(build, self.book.work(FirstPower), When.BEFORE_PUMP)
        self.clock.run(120)
        self.book.work(FirstPower).start_pump(build, JOINTS)
        for _ in range(3):
            self.clock.run(570)
            for joint in JOINTS:
                self.clock.run(12)
                self.book.work(FirstPower).look(build, joint, Paper.DRY)
        self.clock.run(20)
        self.book.work(FirstPower).end_watch(build, level=LevelLook.STEADY, noise=Noise.QUIET)

    def sweep_desk(self, build: str) -> None:
        """Sweep the top chain: the header starves it in voltage mode; set to PWM it is cured, and everything passes."""
        self.answer(build, self.book.work(FanHeaders), When.BEFORE_SWEEP)
        self.sweep(build, "top", "top-starved")
        self.clock.run(300)
        self.book.work(FanHeaders).seats.set_header(
            build, "FAN A", set_to=Drive.PWM, full_speed_lock=False, why="4-wire fans starved at low voltage"
        )
        self.sweep(build, "top", "top-cured")
        self.clock.run(120)
        self.book.work(FanHeaders).note_duty(build, "top", 40, 601)
        self.clock.run(60)
        self.book.work(FanHeaders).close(build)

    def finish_desk(self, build: str) -> None:
        """Set the header to PWM before the first sweep of the second desk; everything passes and stays so."""
        self.answer(build, self.book.work(FanHeaders), When.BEFORE_SWEEP)
        self.book.work(FanHeaders).seats.set_header(
            build, "FAN A", set_to=Drive.PWM, full_speed_lock=False, why="as on the window desk"
        )
        self.sweep(build, "top", "top-cured")
        self.clock.run(120)
        self.book.work(FanHeaders).note_duty(build, "top", 40, 601)
        self.clock.run(60)
        self.book.work(FanHeaders).close(build)

    def replug_desk(self, build: str) -> None:
        """Move the top chain days later: its verdict goes stale until it is swept again."""
        self.answer(build, self.book.work(FanHeaders), When.BEFORE_PLUGGING)
        self.clock.run(240)
        self.book.work(FanHeaders).seats.move(build, "top", "FAN B", "its cable touched the graphics card")

    # --- the corner tower: a plug that sags, a chain that is too much for any header ------------------------------

    def power_tower(self, build: str) -> None:
        """A graphics plug sags below its window: the ladder ends there, until its crimps are seen to."""
        self.answer(build, self.book.work(FirstPower), When.BEFORE_POWER)
        self.clock.run(60)
        self.book.work(FirstPower).describe_supply(build, name="Larkspur 1000", revision=Revision.ATX2, hand_made=())
        self.clock.run(700)
        supply = read_rails(FOLDER / "rails" / "sagging-plug.csv")
        self.book.work(FirstPower).read_rails(build, supply.readings)
        self.clock.run(60)
        self.book.work(FirstPower).close(build)

    def split_tower(self, build: str) -> None:
        """Six fans overload every header of the board; parted in two chains each half has one of its own."""
        for label in ("REAR 1", "REAR 2"):
            self.clock.run(40)
            self.book.work(FanHeaders).seats.add_header(build, header(label, 1000, Drive.PWM))
        reach = {"REAR 1": 30, "REAR 2": 35}
        self.clock.run(40)
        self.book.work(FanHeaders).seats.add_chain(build, fans("six on top", 6, "top radiator", reach))
        self.clock.run(300)
        self.book.work(FanHeaders).seats.remove_chain(
            build, "six on top", "1200 mA are too much for any header here; split in two"
        )
        for name in ("top, first three", "top, last three"):
            self.clock.run(40)
            self.book.work(FanHeaders).seats.add_chain(build, fans(name, 3, "top radiator", reach))
        self.clock.run(30)
        best = self.book.work(FanHeaders).best_layout(self.book.build(build)).optima[0]
        self.book.work(FanHeaders).choose_layout(build, best, "each half on a header of its own")
        self.answer(build, self.book.work(FanHeaders), When.BEFORE_PLUGGING)
        for seat in best.seats:
            self.clock.run(90)
            self.book.work(FanHeaders).seats.move(build, seat.chain, seat.header)

    # --- pieces ----------------------------------------------------------------------------------------------

    def answer(self, build: str, work: StageWork, when: When) -> None:
        """Answer the cautions of a moment that are still open, one by one."""
        state = self.book.build(build)
        missing = work.missing_cautions(state, when)
        for caution in work.cautions(state, when):
            if caution.id in missing:
                self.clock.run(12)
                work.acknowledge(build, caution.id, caution.text.replace("{seconds}", "5 s"))

    def sweep(self, build: str, chain_id: str, file: str) -> None:
        """Take a sweep from a sample file."""
        self.clock.run(900)
        read = read_sweep(FOLDER / "sweeps" / f"{file}.csv")
        self.book.work(FanHeaders).sweeps.take_sweep(
            build, chain_id, read.sweep, SweepSource.FILE, step_rpm=read.setup.step_rpm
        )
