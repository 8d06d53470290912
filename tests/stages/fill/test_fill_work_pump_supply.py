"""What powers the pump in fill and bleed: asked once, recorded, and the bridged supply only after cables and voltages.

Outside: the two arrangements are the ones that guides to leak tests describe, an external supply or the computer's own
with nothing but the pump on it; that the second waits for the cables and the voltages is the order of this ladder.
"""

import pytest

from commission.base.errors import FileError, NotAllowed
from commission.base.frozen import replace
from commission.base.pump_supply import PumpSupply
from commission.procedure.load import default_toml, load_procedure
from commission.procedure.model import When
from commission.record.entries import StepDone
from commission.record.logbook import Logbook
from commission.stages.bleed.entries import BleedStarted
from commission.stages.bleed.work import Bleeds
from commission.stages.fill.entries import CoolantPoured, PumpSupplyChosen
from commission.stages.fill.work.fills import Fills
from commission.stages.first_power.model.rails import PlugKind
from commission.stages.first_power.work.first_power import FirstPower
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import HandClock, ListLog, new_book
from tests.holds import gauge_reads, ready_build, start_hold, type_hold
from tests.power_builds import cable_test, rails, supply
from tests.registered import REGISTRY
from tests.wet_builds import CAN, answer, bleeding_build, cycle, end_fill, pour, pouring_build


def held(book: Logbook, clock: HandClock) -> str:
    """A build whose hold passed and of whose pump nothing was said."""
    from commission.stages.pressure_hold.entries import Ending

    build = ready_build(book)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0.1)
    assert book.work(Holds).close(build, Ending.PLANNED).outcome == "pass"
    book.work(Holds).let_down(build, gauge_reads(0.0))
    book.work(Fills).add_bottle(CAN)
    return build


def proven(book: Logbook, build: str) -> None:
    """Pass rungs a and b: no cable made by hand, every voltage in its window."""
    supply(book, build)
    assert book.work(FirstPower).read_rails(build, rails()).outcome == "pass"


def kinds(log: ListLog, kind: type) -> int:
    return sum(isinstance(entry.payload, kind) for entry in log.entries())


def test_nothing_is_poured_before_it_is_said_what_powers_the_pump() -> None:
    book, log, clock = new_book()
    build = held(book, clock)
    answer(book, build, book.work(Fills), When.BEFORE_POURING)
    with pytest.raises(NotAllowed, match="not recorded what powers the pump"):
        pour(book, build, 100)
    assert kinds(log, CoolantPoured) == 0
    book.work(Fills).choose_pump_supply(build, PumpSupply.OWN)
    answer(book, build, book.work(Fills), When.BEFORE_POURING)
    pour(book, build, 100)
    assert book.build(build).pump_supply is PumpSupply.OWN


def test_the_bridged_supply_waits_for_its_cables_and_its_voltages_and_for_nothing_else() -> None:
    book, log, _ = new_book()
    build = ready_build(book)  # no hold, no fill: these two rungs need no coolant
    with pytest.raises(NotAllowed, match="cables unplugged"):
        book.work(Fills).choose_pump_supply(build, PumpSupply.BRIDGED)
    supply(book, build)
    with pytest.raises(NotAllowed, match='"supply alone" is not done'):
        book.work(Fills).choose_pump_supply(build, PumpSupply.BRIDGED)
    assert kinds(log, PumpSupplyChosen) == 0
    book.work(FirstPower).read_rails(build, rails())
    book.work(Fills).choose_pump_supply(build, PumpSupply.BRIDGED)
    assert book.build(build).pump_supply is PumpSupply.BRIDGED


def test_a_voltage_outside_its_window_keeps_the_bridge_shut() -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    supply(book, build)
    assert book.work(FirstPower).read_rails(build, rails(V12="11.2")).outcome == "fail"  # 12 V less 5 % is 11.4 V
    with pytest.raises(NotAllowed, match='"supply alone" is fail'):
        book.work(Fills).choose_pump_supply(build, PumpSupply.BRIDGED)


def test_the_pump_stands_still_once_another_supply_is_described() -> None:
    book, log, clock = new_book()
    build = held(book, clock)
    proven(book, build)
    book.work(Fills).choose_pump_supply(build, PumpSupply.BRIDGED)
    answer(book, build, book.work(Fills), When.BEFORE_POURING, When.BEFORE_PUMP)
    pour(book, build, 1100)
    end_fill(book, build)
    answer(book, build, book.work(Bleeds), When.BEFORE_PUMP)
    supply(book, build, "CPU")  # a cable was made: neither it nor the voltages are measured yet
    with pytest.raises(NotAllowed, match="only after"):
        book.work(Bleeds).start(build)
    assert kinds(log, BleedStarted) == 0
    book.work(FirstPower).test_cable(build, cable_test())
    book.work(FirstPower).read_rails(build, (*rails(), *rails("CPU", PlugKind.PROCESSOR)[:1]))
    book.work(Bleeds).start(build)
    assert kinds(log, BleedStarted) == 1


def test_a_bleed_stops_where_its_supply_is_no_longer_proven_until_another_is_named() -> None:
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    proven(book, build)
    book.work(Fills).choose_pump_supply(build, PumpSupply.BRIDGED)
    answer(book, build, book.work(Bleeds), When.BEFORE_PUMP)
    book.work(Bleeds).cycle(build, cycle(10))
    supply(book, build, "CPU")
    with pytest.raises(NotAllowed, match="only after"):
        book.work(Bleeds).cycle(build, cycle(10))
    book.work(Fills).choose_pump_supply(build, PumpSupply.OWN)
    book.work(Bleeds).cycle(build, cycle(10))


def test_the_step_with_the_pump_waits_for_the_caution_about_it() -> None:
    book, log, clock = new_book()
    build = held(book, clock)
    book.work(Fills).choose_pump_supply(build, PumpSupply.OWN)
    answer(book, build, book.work(Fills), When.BEFORE_POURING)
    pour(book, build, 900)
    for step in ("protect", "first_fill"):
        book.work(Fills).do_step(build, step)
    with pytest.raises(NotAllowed, match="not answered"):
        book.work(Fills).do_step(build, "bursts")
    assert kinds(log, StepDone) - 2 == sum(
        isinstance(entry.payload, StepDone) and entry.payload.stage == "pressure_hold" for entry in log.entries()
    )
    answer(book, build, book.work(Fills), When.BEFORE_PUMP)
    book.work(Fills).do_step(build, "bursts")


def test_a_choice_that_is_withdrawn_counts_no_more_and_a_repeated_one_is_refused() -> None:
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    with pytest.raises(NotAllowed, match="recorded already"):
        book.work(Fills).choose_pump_supply(build, PumpSupply.OWN)
    (chosen,) = [one for one in book.entries(build) if isinstance(one.payload, PumpSupplyChosen)]
    book.withdraw(chosen.seq, "it was the computer's supply")
    with pytest.raises(NotAllowed, match="not recorded what powers the pump"):
        pour(book, build, 100)


# --- cautions of one arrangement ------------------------------------------------------------------------------------

MARKED = default_toml().replace('id = "mains_out"\n', 'id = "mains_out"\npump_supply = "own"\n', 2)
"""The procedure with the caution about the plug for a supply of its own alone."""


def test_only_the_cautions_of_the_chosen_arrangement_are_asked_and_they_are_asked_when_it_changes() -> None:
    assert 'pump_supply = "own"' in MARKED
    log, clock = ListLog(), HandClock()
    book = Logbook(log, clock, registry=REGISTRY, procedure_toml=MARKED, program="test")
    build = ready_build(book)
    fill = book.work(Fills)
    proven(book, build)
    assert "mains_out" not in fill.missing_cautions(book.build(build), When.BEFORE_POURING)
    fill.choose_pump_supply(build, PumpSupply.BRIDGED)
    assert "mains_out" not in fill.missing_cautions(book.build(build), When.BEFORE_POURING)
    fill.choose_pump_supply(build, PumpSupply.OWN)
    assert "mains_out" in fill.missing_cautions(book.build(build), When.BEFORE_POURING)


def test_a_procedure_names_an_arrangement_or_none_and_nothing_else() -> None:
    stage = load_procedure(MARKED).stage("fill")
    marked = next(caution for caution in stage.cautions if caution.id == "mains_out")
    assert marked.pump_supply is PumpSupply.OWN
    bare = load_procedure(MARKED.replace('pump_supply = "own"\n', "")).stage("fill")
    assert next(caution for caution in bare.cautions if caution.id == "mains_out") == replace(marked, pump_supply=None)
    with pytest.raises(FileError, match="none of own, bridged"):
        load_procedure(MARKED.replace('pump_supply = "own"', 'pump_supply = "both"'))
