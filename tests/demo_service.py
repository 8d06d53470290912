"""The years of the demo's finished desk: its handover and two service visits; names are invented."""

from commission.base.frozen import replace
from commission.base.quantity import Quantity
from commission.base.verdict import Outcome
from commission.physics.loop_volume import Uncertain
from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.record.machine.joints import Paper
from commission.stages.fill.model.fill import Pour, TypedAmount, Way
from commission.stages.fill.state import Shelf
from commission.stages.fill.typed.amount import dose_of
from commission.stages.fill.typed.life import read_life
from commission.stages.fill.work.fills import liquid_of
from commission.stages.handover.model import ServiceItem
from commission.stages.handover.work.handovers import Handovers
from commission.stages.thermal_soak.card.coolant import coolant_in
from commission.stages.thermal_soak.files.soak_csv import read_soak
from commission.stages.thermal_soak.typed.plan import read_plan
from commission.stages.thermal_soak.work.soaks import Soaks
from commission.units.parse import parse
from tests.demo_coolant import LOFT_BOTTLES
from tests.demo_power import DAY_S
from tests.fakes import HandClock
from tests.make_sample_logs import FOLDER
from tests.wet_builds import answer

OWNER = "Tilda Ahrens"
WARMER_K = 0.2
"""So much warmer the coolant settles at the second visit [K]: some dust."""


class ServiceAuthor:
    """Hands a desk over and visits it."""

    def __init__(self, book: Logbook, clock: HandClock) -> None:
        self.book = book
        self.clock = clock
        self.work = book.work(Handovers)

    def serve(self, build: str) -> None:
        """Hand the desk over; look at it after a month, and serve it after another four."""
        self.clock.run(9 * 3600)
        bottle = LOFT_BOTTLES[1]
        self.work.name_spares(build, ("two seals of each size", "one fan 120 mm"), bottle.name)
        self.clock.run(40)
        self.work.read_life(build, *read_life("24 months"))
        answer(self.book, build, self.work, When.FOR_THE_OWNER)
        self.clock.run(600)
        self.work.hand_over(build, OWNER)
        self._visit(build, 31, "first look", "3 mL", "all dry, level 1 mm down")
        self._visit(build, 122, "half a year", "12 mL", "all dry", yearly=True)

    def _visit(self, build: str, days: float, why: str, top_up: str, seen: str, *, yearly: bool = False) -> None:
        self.clock.run(days * DAY_S)
        self.work.begin_visit(build, why)
        answer(self.book, build, self.work, When.BEFORE_SERVICE)
        self.clock.run(300)
        self.work.done(build, ServiceItem.LOOK, seen)
        self.clock.run(300)
        self.work.top_up(build, self._pour(top_up))
        if yearly:
            self.clock.run(900)
            self.work.done(build, ServiceItem.CLEANING, "front filter was full")
            self._soak(build)
        self.clock.run(300)
        self.work.hand_over(build)

    def _pour(self, amount: str) -> Pour:
        bottle = next(one for one in self.book.shop().of(Shelf).bottles if one.name == LOFT_BOTTLES[1].name)
        typed = TypedAmount(way=Way.VOLUME, values=(parse(amount, Quantity.VOLUME),))
        stage = self.book.new_procedure.stage("fill")
        return Pour(bottle=bottle, dose=dose_of(typed, liquid_of(bottle), Uncertain(294.15, 0.5), stage))

    def _soak(self, build: str) -> None:
        """The same load as before the handover, with the coolant a little warmer."""
        self.clock.run(1800)
        work = self.book.work(Soaks)
        answer(self.book, build, work, When.BEFORE_SOAK)
        work.start(build, read_plan(coolant_in(self.book.build(build)) or ""))
        self.clock.run(5500)
        readings = read_soak(FOLDER / "soaks" / "settles.csv").readings[::6]
        warmer = tuple(
            replace(
                one,
                warm_k=None if one.warm_k is None else one.warm_k + WARMER_K,
                cool_k=None if one.cool_k is None else one.cool_k + WARMER_K,
            )
            for one in readings
        )
        work.read(build, warmer, file="half-a-year.csv")
        work.look(build, work.joints(self.book.build(build)), Paper.DRY)
        assert work.close(build).outcome is Outcome.PASS
