"""Builds whose hold has passed, bottles, amounts and cycles, for tests of what comes after it; all invented."""

from commission.base.frozen import replace
from commission.base.pump_supply import PumpSupply
from commission.base.quantity import Measured, Quantity
from commission.procedure.model import When
from commission.record.entries import StepDone
from commission.record.logbook import Logbook
from commission.record.logged import Logged
from commission.record.stage_work import StageWork
from commission.stages.bleed.model import BleedCycle
from commission.stages.bleed.work import Bleeds
from commission.stages.fill.model.coolant import Bottle
from commission.stages.fill.model.fill import Dose, FillVerdict, Pour
from commission.stages.fill.work.fills import Fills
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import HandClock
from tests.fills import ML, PREMIX, ROOM_K, WATER, dose
from tests.fills import cycle as timed
from tests.holds import gauge_reads, ready_build, start_hold, type_hold

CAN = replace(WATER, name="can", size_m3=3e-3)
"""Three litres of water."""
JUG = replace(PREMIX, name="jug", size_m3=3e-3)
"""Three litres of premix, propylene glycol 30 % by mass."""


def proved_build(book: Logbook, clock: HandClock, name: str = "Blue Heron") -> str:
    """Open a build of 1200 ± 30 mL, pass its hold, and return its id."""
    build = ready_build(book, name)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0.1)
    assert book.work(Holds).close(build, Ending.PLANNED).outcome == "pass"
    book.work(Holds).let_down(build, gauge_reads(0.0))
    book.work(Fills).choose_pump_supply(build, PumpSupply.OWN)
    for bottle in (CAN, JUG):
        if bottle not in book.work(Fills).bottles:
            book.work(Fills).add_bottle(bottle)
    return build


def answer(book: Logbook, build: str, work: StageWork, *whens: When) -> None:
    """Answer the cautions of some moments."""
    for when in whens:
        for caution in work.cautions(book.build(build), when):
            work.acknowledge(build, caution.id, caution.text)


def pouring_build(book: Logbook, clock: HandClock, name: str = "Blue Heron") -> str:
    """Open a build, pass its hold and answer the cautions before pouring."""
    build = proved_build(book, clock, name)
    answer(book, build, book.work(Fills), When.BEFORE_POURING)
    return build


def amount(ml: float, *, u_ml: float = 1.0, at_k: float = ROOM_K, grams: float | None = None) -> Dose:
    """Return an amount by volume."""
    typed = Measured(quantity=Quantity.VOLUME, si=ml * ML, typed=f"{ml:g} mL")
    return dose(ml, grams, u_ml=u_ml, at_k=at_k, inputs=(typed,))


def poured(ml: float, bottle: Bottle = CAN, **more: float) -> Pour:
    """Return a pour."""
    return Pour(bottle=bottle, dose=amount(ml, **more))


def pour(book: Logbook, build: str, ml: float, bottle: Bottle = CAN) -> Logged:
    """Pour an amount."""
    return book.work(Fills).move(build, poured(ml, bottle))


def end_fill(book: Logbook, build: str) -> FillVerdict:
    """End a fill whose steps were all done, also those that a test does not care for."""
    attempt = book.build(build).run("fill").attempt
    for step in book.work(Fills).missing_steps(book.build(build)):
        book.record(build, StepDone(stage="fill", attempt=attempt, step=step))
    return book.work(Fills).close(build)


def filled_build(book: Logbook, clock: HandClock, ml: float = 1100, name: str = "Blue Heron") -> str:
    """Open a build, pass its hold, answer every caution of the fill, fill it with water and close the fill."""
    build = proved_build(book, clock, name)
    answer(book, build, book.work(Fills), When.BEFORE_POURING, When.BEFORE_PUMP)
    pour(book, build, ml)
    end_fill(book, build)
    return build


def bleeding_build(book: Logbook, clock: HandClock, ml: float = 1100, name: str = "Blue Heron") -> str:
    """The same with its bleed begun."""
    build = filled_build(book, clock, ml, name)
    answer(book, build, book.work(Bleeds), When.BEFORE_PUMP)
    book.work(Bleeds).start(build)
    return build


def cycle(ml: float, **more: object) -> BleedCycle:
    """Return a quiet half hour that took an amount."""
    return timed(1, ml, **more).cycle


def run_cycle(book: Logbook, clock: HandClock, build: str, ml: float, **more: object) -> Logged:
    """Let half an hour go by and record a cycle with its top-up."""
    clock.run(1800)
    return book.work(Bleeds).cycle(build, cycle(ml, **more), poured(ml, u_ml=0.3) if ml else None)
