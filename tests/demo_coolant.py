"""Writes the coolant of the demo workshop into its record: bottles, fills, bleeds.

What goes in and comes out is that of ``tests/make_fill_logs.py``; it is typed as on a command line.
"""

from collections.abc import Sequence
from itertools import pairwise

from commission.base.frozen import replace
from commission.base.pump_supply import PumpSupply
from commission.base.quantity import Quantity
from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.record.machine.noise import Noise
from commission.stages.bleed.model import BleedCycle, Bubbles, GoneBy, PumpState
from commission.stages.bleed.work import Bleeds
from commission.stages.fill.at_hand import CoolantAtHand
from commission.stages.fill.model.coolant import Base, Basis, Bottle
from commission.stages.fill.model.fill import Pour, Reservoir, Spill
from commission.stages.fill.shell.pour_dose import temperature_of, typed_amount
from commission.stages.fill.typed.amount import dose_of
from commission.stages.fill.work.fills import Fills, liquid_of
from commission.units.parse import parse
from tests.fakes import HandClock
from tests.make_fill_logs import (
    BORE_MM,
    DESK_FILL,
    TOWER_MARKS_ML,
    TOWER_SYRINGE_ML,
    Seen,
    WetLoop,
    corner_tower,
    desk_bleed,
    tower_bleeds,
    window_desk,
)

AT = "22 degC"
PREMIX = Bottle(
    bottle_id="premix",
    name="pink premix",
    base=Base.PROPYLENE_GLYCOL,
    size_m3=1e-3,
    fraction=0.30,
    basis=Basis.MASS,
    lot="0417",
    opened_on="2026-03-14",
)
WATER = Bottle(bottle_id="water", name="distilled water", base=Base.WATER, size_m3=1e-3, opened_on="2026-03-14")
DUSK = Bottle(
    bottle_id="dusk",
    name="dusk blue",
    base=Base.READY_MIX,
    size_m3=2e-3,
    density_kg_m3=1035.0,
    freezing_k=255.15,
    lot="D-22",
    opened_on="2026-03-15",
)
LOFT_BOTTLES = (
    replace(PREMIX, bottle_id="loft premix", name="pink premix, second", lot="0422", opened_on="2026-03-19"),
    replace(WATER, bottle_id="loft water", name="distilled water, second", opened_on="2026-03-19"),
)
"""Those of the second desk."""
CYCLE_S = 900.0
SYRINGE_M3 = 1e-6
"""A whole millilitre is read, and up to half of one was left before and after: 1 mL at most is wrong."""


class CoolantAuthor:
    """Writes fills and bleeds, entry by entry."""

    def __init__(self, book: Logbook, clock: HandClock) -> None:
        self.book = book
        self.clock = clock

    def fill_desk(self, build: str, premix: Bottle = PREMIX, water: Bottle = WATER) -> None:
        """Fill from two bottles, one of them weighed; some water runs beside the filler; the fill passes."""
        for bottle in (premix, water):
            self.clock.run(60)
            self.book.work(Fills).add_bottle(bottle)
        self.answer(build)
        self.step(build, "protect")
        grams = DESK_FILL.bottle_g
        self.pour(build, premix, weighed=(f"{grams[0]} g", f"{grams[1]} g"))
        self.step(build, "first_fill")
        self.pour(build, premix, weighed=(f"{grams[1]} g", f"{grams[2]} g"))
        wrong = self.pour(build, water, "101 mL")
        self.clock.run(20)
        self.book.withdraw(wrong, "typed 101 for 110")
        self.pour(build, water, f"{DESK_FILL.water_ml:g} mL")
        self.spill(build, water, f"{DESK_FILL.spilled_ml:g} mL +- 3 mL", "ran down the tube; on the paper, wiped up")
        self.to_the_mark(build, window_desk())

    def bleed_desk(self, build: str, water: Bottle = WATER) -> None:
        """Seven cycles upright, topped up with water; the bleed converges and passes."""
        self.begin_bleed(build)
        self.cycles(build, desk_bleed(), water, long_pauses=3)
        self.book.work(Bleeds).close(build)

    def fill_tower(self, build: str) -> None:
        """Fill from one bottle by its marks; the fill passes, but can't tell whether air is left."""
        self.clock.run(60)
        self.book.work(Fills).add_bottle(DUSK)
        self.answer(build)
        self.step(build, "protect")
        marks = TOWER_MARKS_ML
        self.pour(build, DUSK, level=(f"{marks[0]} mL", f"{marks[1]} mL"))
        self.step(build, "first_fill")
        for before, after in pairwise(marks[1:]):
            self.pour(build, DUSK, level=(f"{before} mL", f"{after} mL"))
        self.pour(build, DUSK, f"{TOWER_SYRINGE_ML} mL +- 1 mL")
        self.to_the_mark(build, corner_tower())

    def bleed_tower(self, build: str) -> None:
        """Six cycles upright that come to a stand: it fails. Tilted, the pocket comes out, and the bleed passes."""
        first, second = tower_bleeds()
        self.begin_bleed(build)
        self.cycles(build, first, DUSK, long_pauses=0)
        self.book.work(Bleeds).close(build)
        self.clock.run(60)
        self.book.add_note(build, "all paper dry: a pocket in the top radiator, not a leak; next on its left side")
        self.begin_bleed(build)
        self.cycles(build, second, DUSK, long_pauses=3)
        self.book.work(Bleeds).close(build)

    # --- pieces ----------------------------------------------------------------------------------------------

    def answer(self, build: str) -> None:
        """Say what powers the pump, and answer the cautions of the fill, one by one."""
        self.book.work(Fills).choose_pump_supply(build, PumpSupply.OWN)
        state = self.book.build(build)
        for when in (When.BEFORE_POURING, When.BEFORE_PUMP):
            for caution in self.book.work(Fills).cautions(state, when):
                self.clock.run(12)
                self.book.work(Fills).acknowledge(build, caution.id, caution.text)

    def step(self, build: str, step: str) -> None:
        """Report a step of the fill done."""
        self.clock.run(120)
        self.book.work(Fills).do_step(build, step)

    def measured(
        self,
        build: str,
        bottle: Bottle,
        single: str | None,
        weighed: tuple[str, str] | None = None,
        level: tuple[str, str] | None = None,
        *,
        estimated: bool = False,
    ) -> Pour:
        """Return what was typed as a pour."""
        self.clock.run(90)
        typed = typed_amount(single, weighed, level, AT, estimated=estimated)
        hand = CoolantAtHand(self.book, build, self.book.work(Fills))
        dose = dose_of(typed, liquid_of(bottle), temperature_of(typed, hand)[0], hand.stage)
        return Pour(bottle=bottle, dose=dose)

    def pour(
        self,
        build: str,
        bottle: Bottle,
        single: str | None = None,
        *,
        weighed: tuple[str, str] | None = None,
        level: tuple[str, str] | None = None,
    ) -> int:
        """Pour, and return the number of the entry."""
        return self.book.work(Fills).move(build, self.measured(build, bottle, single, weighed, level)).seq

    def spill(self, build: str, bottle: Bottle, amount: str, note: str) -> None:
        """Spill some of what was poured."""
        dose = self.measured(build, bottle, amount, estimated=True).dose
        self.book.work(Fills).move(build, Spill(bottle=bottle, dose=dose, note=note))

    def to_the_mark(self, build: str, loop: WetLoop) -> None:
        """Do the last steps, read the level at the mark, and end the fill."""
        self.step(build, "bursts")
        self.step(build, "look")
        tank = Reservoir(bore_m=BORE_MM / 1000, height_m=loop.height_mm / 1000)
        self.book.work(Fills).describe_reservoir(build, tank)
        self.clock.run(30)
        level = parse(f"{loop.mark_mm:g} mm", Quantity.LENGTH)
        self.book.work(Fills).read_level(build, level, parse(AT, Quantity.TEMPERATURE))
        self.step(build, "to_the_mark")
        self.clock.run(30)
        self.book.work(Fills).close(build)

    def begin_bleed(self, build: str) -> None:
        """Answer the cautions of the bleed and begin it."""
        self.clock.run(300)
        for caution in self.book.work(Bleeds).cautions(self.book.build(build), When.BEFORE_PUMP):
            self.clock.run(12)
            self.book.work(Bleeds).acknowledge(
                build, caution.id, caution.text.replace("{rating}", "700 mbar (tube reservoir)")
            )
        self.book.work(Bleeds).start(build)

    def cycles(self, build: str, seen: Sequence[Seen], bottle: Bottle, *, long_pauses: int) -> None:
        """Record cycles of a quarter of an hour; the pump rests for long before each of the last ones."""
        for number, one in enumerate(seen):
            self.clock.run(2700 if number >= len(seen) - long_pauses else 120)
            self.clock.run(CYCLE_S)
            typed = f"{one.top_up_ml} mL"
            pour = self.measured(build, bottle, f"{typed} +- 0.5 mL") if one.top_up_ml else None
            cycle = BleedCycle(
                pump=PumpState.RUNNING,
                run_s=CYCLE_S,
                tilt=one.tilt,
                gone_m3=one.top_up_ml * 1e-6,
                resolution_m3=SYRINGE_M3,
                gone_by=GoneBy.TOP_UP,
                bubbles=Bubbles(one.bubbles),
                noise=Noise(one.noise),
                inputs=pour.dose.inputs if pour is not None else (),
            )
            self.book.work(Bleeds).cycle(build, cycle, pour)
