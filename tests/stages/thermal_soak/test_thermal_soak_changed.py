"""A soak that goes on while the machine is changed: its readings are of a machine that is no more."""

from collections.abc import Callable

import pytest

from commission.base.errors import NotAllowed
from commission.base.verdict import Outcome
from commission.record.logbook import Logbook
from commission.record.mishap import Mishap
from commission.record.mishaps import Mishaps
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.stages.thermal_soak.card.soak import SoakFlow
from commission.stages.thermal_soak.work.soaks import JOINTS_HOT, Soaks
from tests.fakes import new_book
from tests.soaks import course, soaking
from tests.ui.bench import asked, led


@pytest.mark.parametrize(
    "change",
    [
        lambda b, i: b.work(FanHeaders).note_duty(i, "front", 40, 600),
        lambda b, i: b.work(Mishaps).note(i, Mishap.SPILL, where="board", seen="a splash"),
    ],
    ids=["less air", "spill"],
)
def test_a_soak_in_which_the_machine_was_changed_is_no_pass_and_another_is_begun(
    change: Callable[[Logbook, str], object],
) -> None:
    book, _, clock = new_book()
    build = soaking(book, clock)
    clock.run(3700)
    work = book.work(Soaks)
    work.read(build, course(60))
    work.do_step(build, JOINTS_HOT)
    assert work.verdict(book.build(build)).outcome is Outcome.PASS
    change(book, build)
    verdict = work.verdict(book.build(build))
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "changed_meanwhile")
    with pytest.raises(NotAllowed, match=r"changed the machine since this soak began|is locked"):
        work.read(build, course(61)[60:])


def test_the_card_of_such_a_soak_asks_for_its_end() -> None:
    book, _, clock = new_book()
    build = soaking(book, clock)
    book.work(FanHeaders).note_duty(build, "front", 40, 600)
    flow = SoakFlow(book, build)
    assert "changed since this soak began: Enter ends it" in asked(flow)
    led(flow, ["", ""])
    judged = book.build(build).judged_run("thermal_soak")
    assert judged is not None
    assert judged.outcome is Outcome.INCONCLUSIVE
