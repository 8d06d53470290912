"""Helpers of the fill and bleed tests: a build whose hold has passed, a bottle, amounts."""

from commission.logbook.book import Logbook
from commission.procedure.model import When
from commission.tui.flows.fill import FillFlow
from tests.fakes import HandClock, ListLog, new_book
from tests.holds import ready_build, start_hold, type_hold
from tests.tui.bench import led

FILL_CAUTIONS = 7
"""Cautions before pouring."""


def held(name: str = "Blue Heron") -> tuple[Logbook, ListLog, HandClock, str]:
    """A build of 1.2 L whose pressure hold has passed."""
    from commission.domain.entries import Ending

    book, log, clock = new_book()
    build = ready_build(book, name)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500.0, fall_mbar=0.0)
    clock.run(600)
    verdict = book.hold.close(build, Ending.PLANNED)
    assert verdict.outcome == "pass", verdict.reasons
    return book, log, clock, build


def pouring(name: str = "Blue Heron") -> tuple[Logbook, ListLog, HandClock, str]:
    """The same with its cautions answered and a bottle of premix in hand."""
    book, log, clock, build = held(name)
    flow = FillFlow(book, build)
    assert len(flow.stage.cautions_at(When.BEFORE_POURING)) == FILL_CAUTIONS
    led(flow, [*[""] * FILL_CAUTIONS, "propylene", "30 % by mass", "2 L", "name premix", ""])
    return book, log, clock, build
