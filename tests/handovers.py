"""Builds whose every stage has passed, handed over or not, for tests of handover and visits; all invented."""

from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.stages.bleed.work import Bleeds
from commission.stages.first_power.work.first_power import FirstPower
from commission.stages.handover.work.handovers import Handovers
from commission.stages.thermal_soak.model import SoakPlan
from commission.stages.thermal_soak.work.soaks import JOINTS_HOT, Soaks
from tests.fakes import HandClock, built_once, new_book
from tests.power_builds import SOUND, powered_build, watch_pump
from tests.soaks import course, pass_headers
from tests.wet_builds import answer, run_cycle

DAY_S = 86_400.0
OWNER = "Mara Lind"


@built_once
def finished() -> tuple[Logbook, HandClock, str]:
    """Return a logbook with a build of which every stage before the handover has passed."""
    book, _, clock = new_book()
    build = powered_build(book, clock)
    bleed_again(book, clock, build)
    pass_headers(book, build)
    soak_again(book, clock, build)
    return book, clock, build


def bleed_again(book: Logbook, clock: HandClock, build: str) -> None:
    """Bleed until it passes."""
    answer(book, build, book.work(Bleeds), When.BEFORE_PUMP)
    book.work(Bleeds).start(build)
    for _ in range(5):
        run_cycle(book, clock, build, 0.3)
    assert book.work(Bleeds).close(build).outcome == "pass"


def power_again(book: Logbook, clock: HandClock, build: str) -> None:
    """Run the pump alone and start the machine again; cables and supply stand."""
    watch_pump(book, clock, build)
    answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    book.work(FirstPower).start_machine(build, SOUND)
    assert book.work(FirstPower).close(build).outcome == "pass"


def soak_again(book: Logbook, clock: HandClock, build: str, *, end_k: float = 10.0) -> None:
    """Soak the machine; the coolant settles so far above air at 400 W [K]."""
    work = book.work(Soaks)
    answer(book, build, work, When.BEFORE_SOAK)
    start_k = 0.1 * work.start(build, SoakPlan()).seq % 1.0  # no two soaks of a machine read alike
    clock.run(3700)
    work.read(build, course(60, end_k=end_k, start_k=start_k))
    work.do_step(build, JOINTS_HOT)
    assert work.close(build).outcome == "pass"


@built_once
def handed() -> tuple[Logbook, HandClock, str]:
    """Return the same handed over to its owner, with a bottle that states no life."""
    book, clock, build = finished()
    work = book.work(Handovers)
    work.name_spares(build, ("two seals", "a fan"), "can")
    work.read_life(build, None)
    answer(book, build, work, When.FOR_THE_OWNER)
    work.hand_over(build, OWNER)
    return book, clock, build


@built_once
def visited() -> tuple[Logbook, HandClock, str]:
    """Return the same 30 days later with a visit begun and its cautions answered."""
    book, clock, build = handed()
    clock.run(30 * DAY_S)
    work = book.work(Handovers)
    work.begin_visit(build, "first look")
    answer(book, build, work, When.BEFORE_SERVICE)
    return book, clock, build
