"""Readings that stand again for another supply, or for one that was hurt since: asked about, and told by the verdict.

Readings are invented; that they are those of before is plain, since they are the same values.
"""

from collections.abc import Callable

import pytest

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.record.mishap import Mishap
from commission.record.mishaps import Mishaps
from commission.stages.first_power.card.first_power import FirstPowerFlow
from commission.stages.first_power.model.rails import Revision
from commission.stages.first_power.state.power import FirstPowerState
from commission.stages.first_power.work.cable_doubts import same_readings, same_voltages
from commission.stages.first_power.work.first_power import FirstPower
from commission.units.show import say
from tests.fakes import new_book
from tests.power_builds import SOUND, cable_test, rails, supplied_build, supply, watch_pump
from tests.ui.bench import asked, led
from tests.wet_builds import answer

TYPED = "24-pin +12 12.05 +5 5.02 +3.3 3.31 +5VSB 5.08"


def another(book: Logbook, build: str) -> None:
    book.work(FirstPower).describe_supply(build, name="Other 650", revision=Revision.ATX2, hand_made=("CPU",))


def smoke(book: Logbook, build: str) -> None:
    book.work(Mishaps).note(build, Mishap.SMOKE, where="supply", seen="a smell")
    book.work(Mishaps).repaired(build, book.build(build).open_findings[0].raised.finding_id, "a new one")


@pytest.mark.parametrize("change", [another, smoke])
def test_readings_of_before_a_change_of_the_supply_are_asked_about(change: Callable[[Logbook, str], None]) -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    supply(book, build, "CPU")
    book.work(FirstPower).test_cable(build, cable_test())
    book.work(FirstPower).read_rails(build, rails())
    before = book.build(build).of(FirstPowerState)
    assert (same_readings(before, cable_test()), same_voltages(before, rails())) == ("", "")
    change(book, build)
    now = book.build(build).of(FirstPowerState)
    assert same_readings(now, cable_test()) == "CPU, Larkspur 850 earlier"
    assert same_voltages(now, rails()) == "Larkspur 850 earlier"
    assert same_readings(now, cable_test(pin1=0.31)) == ""
    assert same_voltages(now, [replace(one, volt=one.volt + 0.01) for one in rails()]) == ""


def test_voltages_of_an_earlier_supply_are_said_to_be_right_and_the_pass_tells_it() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    work = book.work(FirstPower)
    work.describe_supply(build, name="Other 650", revision=Revision.ATX2, hand_made=())
    flow = FirstPowerFlow(book, build)
    led(flow, [TYPED])
    assert asked(flow) == 'This supply has the very readings of "Larkspur 850 earlier", to the last digit. Is it right?'
    assert flow.back()
    assert not work.record_of(book.build(build)).rails
    led(flow, [TYPED, "yes"])
    watch_pump(book, clock, build)
    answer(book, build, work, When.BEFORE_MACHINE)
    work.start_machine(build, SOUND)
    verdict = work.close(build)
    told = [say(one) for one in verdict.reasons if one.code == "same_readings"]
    assert (verdict.outcome, told) == (
        Outcome.PASS,
        ["this supply: the very readings of Larkspur 850 earlier, said to be right."],
    )
