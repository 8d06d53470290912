"""Helpers of the fill and bleed tests: a build whose hold has passed, a bottle, amounts."""

from commission.base.pump_supply import PumpSupply
from commission.record.logbook import Logbook
from commission.stages.fill.card.fill import FillFlow
from commission.stages.fill.work.fills import Fills
from commission.stages.pressure_hold.work.holds import Holds
from tests.answers import BLEED, FILL, FILL_PUMP
from tests.fakes import HandClock, ListLog, built_once, new_book
from tests.holds import gauge_reads, ready_build, start_hold, type_hold
from tests.ui.bench import led


@built_once
def held(name: str = "Blue Heron") -> tuple[Logbook, ListLog, HandClock, str]:
    """A build of 1.2 L whose pressure hold has passed, its pump on a supply of its own."""
    from commission.stages.pressure_hold.entries import Ending

    book, log, clock = new_book()
    build = ready_build(book, name)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500.0, fall_mbar=0.0)
    clock.run(600)
    verdict = book.work(Holds).close(build, Ending.PLANNED)
    assert verdict.outcome == "pass", verdict.reasons
    book.work(Holds).let_down(build, gauge_reads(0.0))
    book.work(Fills).choose_pump_supply(build, PumpSupply.OWN)
    return book, log, clock, build


@built_once
def pouring(name: str = "Blue Heron") -> tuple[Logbook, ListLog, HandClock, str]:
    """The same with its cautions answered and a bottle of premix in hand."""
    book, log, clock, build = held(name)
    flow = FillFlow(book, build)
    led(flow, [*FILL, "propylene", "30 % by mass", "2 L", "name premix", ""])
    return book, log, clock, build


POURED = ["", "weighed 1184,6 531,2 g", "250 mL", "spill 20 mL", "done", *FILL_PUMP]
"""Protected, three amounts, the pump's caution answered."""


@built_once
def poured() -> tuple[Logbook, ListLog, HandClock, str]:
    """The same in the middle of its fill."""
    book, log, clock, build = pouring()
    led(FillFlow(book, build), POURED)
    return book, log, clock, build


@built_once
def filled() -> tuple[Logbook, ListLog, HandClock, str]:
    """A build whose fill has passed."""
    book, log, clock, build = poured()
    rest = ["170 mL", "", "dry", "reservoir 60 mm 200 mm", "level 150 mm 23 degC", "", "", ""]
    led(FillFlow(book, build), rest)
    return book, log, clock, build


@built_once
def bleeding(*lines: str) -> tuple[Logbook, ListLog, HandClock, str]:
    """A build that is being bled, with a cycle for each line, half an hour apart."""
    from commission.stages.bleed.card.bleed import BleedFlow

    book, log, clock, build = filled()
    flow = BleedFlow(book, build)
    led(flow, [*BLEED, "covered"])
    for line in lines:
        clock.run(1800)
        led(flow, [line])
        if flow.bleeding.doubted is not None:
            led(flow, ["keep"])
    return book, log, clock, build


CONVERGING = (
    "30 min 40 mL many gurgling 2400 rpm",
    "30 min 16 mL few gurgling",
    "30 min 6,5 mL few quiet",
    "30 min 2,6 mL few quiet",
)
"""Cycles each of which takes 0.4 times as much as the one before."""
KEPT = ("1 h 0,5 mL none quiet", "1 h 0 mL none quiet", "1 h nothing none quiet")
"""Cycles that keep to the rule; the clock of the tests gives each half an hour."""
