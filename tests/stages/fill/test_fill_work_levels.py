"""A level that is read after an end takes what it disproves: arithmetic by hand, in a bore of 60 mm, 2.827 mL a mm."""

import pytest

from commission.base.errors import NotAllowed
from commission.base.frozen import replace
from commission.base.quantity import Measured, Quantity
from commission.procedure.model import When
from commission.record.build_state import BuildState
from commission.record.locks import counts
from commission.record.logbook import Logbook
from commission.record.machine.parts import Part, PartKind
from commission.record.rests import rest_rows
from commission.stages.bleed.work import Bleeds
from commission.stages.fill.at_hand import CoolantAtHand
from commission.stages.fill.entries import LevelRead
from commission.stages.fill.model.fill import Reservoir
from commission.stages.fill.typed.reservoir import larger_than_listed, level_deed
from commission.stages.fill.work.fills import Fills
from commission.stages.first_power.work.first_power import FirstPower
from commission.stages.handover.judge.ready import told_with_it
from commission.stages.handover.work.standing import facts_of
from commission.stages.thermal_soak.work.soaks import JOINTS_HOT, Soaks
from commission.units.parse import parse
from commission.units.show import say
from tests.fakes import HandClock, new_book
from tests.soaks import course, soaking
from tests.wet_builds import answer, bleeding_build, filled_build, run_cycle

TANK = Reservoir(bore_m=0.06, height_m=0.15)
"""At 120 mm 30 mm of it are air, 85 mL: 1100 mL in a loop of 1200(30) mL fit."""


def _read(book: Logbook, build: str, mm: float, celsius: float | None = 21) -> BuildState:
    level = parse(f"{mm} mm", Quantity.LENGTH)
    warm: Measured | None = None if celsius is None else parse(f"{celsius} degC", Quantity.TEMPERATURE)
    book.work(Fills).read_level(build, level, warm)
    return book.build(build)


def _bled(book: Logbook, clock: HandClock, ml: float = 1100) -> str:
    build = bleeding_build(book, clock, ml)
    for _ in range(5):
        run_cycle(book, clock, build, 0)
    assert book.work(Bleeds).close(build).outcome == "pass"
    book.work(Fills).describe_reservoir(build, TANK)
    return build


def _standing(state: BuildState) -> set[str]:
    return {stage for stage in ("fill", "bleed") if counts(state, stage)}


@pytest.mark.parametrize(
    ("mm", "celsius", "stand"),
    [
        (119, 21, {"fill", "bleed"}),  # 2.8 mL: what two readings of a mark are off by
        (110, 21, {"fill"}),  # 28 mL, less 1.64 times 2.0 mL: more than the 5 mL that are usual
        (119, None, {"fill", "bleed"}),  # nobody knows how warm it was: 1 % of 1.1 L twice is 16 mL
        (117, 41, {"fill"}),  # 8.5 mL, and 20 K widen 1.1 L by 6.3 mL: 15 mL
        (60, 21, set()),  # 254 mL of air, so 946 mL fit: 154 mL more were poured, and 1.64 times 30 mL may be
    ],
)
def test_a_level_that_fell_since_the_bleed_takes_what_it_disproves(
    mm: float, celsius: float | None, stand: set[str]
) -> None:
    book, _, clock = new_book()
    build = _bled(book, clock)
    assert _standing(_read(book, build, 120)) == {"fill", "bleed"}
    warm = "" if celsius is None else f" {celsius} degC"
    hand = CoolantAtHand(book, build, book.work(Fills))
    asked = level_deed(hand, f"{mm} mm{warm}", stage="fill").told  # said before it is stored
    assert ("would no longer count: read it again" in asked) == (stand != {"fill", "bleed"})
    after = _read(book, build, mm, celsius)
    assert _standing(after) == stand
    seq = book.entries(build)[-1].seq
    taken = {stage for stage, runs in after.runs.items() for run in runs if run.stale_by == seq}
    assert taken >= {"fill", "bleed"} - stand
    assert taken <= {stage for row in rest_rows(book.registry) if row.kind is LevelRead for stage in row.takes}
    assert book.verify() == []


def test_a_reservoir_larger_than_the_parts_list_says_so() -> None:
    """36 pi / 4 cm2 times 20 cm are 565 mL; 250 mL by the list, known to 12.5 mL, may be up to 275 mL."""
    listed = Part(part_id="r", kind=PartKind.RESERVOIR, name="tank", volume_m3=250e-6, u_volume_m3=12.5e-6)
    tall, fits = Reservoir(bore_m=0.06, height_m=0.2), Reservoir(bore_m=0.05, height_m=0.14)  # 275 mL less a drop
    assert larger_than_listed(tall, [listed]).startswith("; that holds 565 mL, and the parts list says 250 mL")
    assert not larger_than_listed(fits, [listed])
    assert not larger_than_listed(tall, [replace(listed, kind=PartKind.PUMP)])  # its reservoir may be a part of it


def test_a_level_that_leaves_the_pump_dry_locks_it() -> None:
    # 1100 mL went into 1200(30) mL, of which 148 mm of the reservoir, 418 mL, are air: 318 mL more than can be in
    book, _, clock = new_book()
    build = _bled(book, clock)
    assert not counts(_read(book, build, 2), "fill")
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    with pytest.raises(NotAllowed):
        book.work(FirstPower).start_pump(build, ["pump"])


def test_a_level_read_once_a_soak_was_ended_takes_its_pass() -> None:
    # 120 mm before the load, 112 mm cold again: 22.6 mL are gone
    book, _, clock = new_book()
    build = soaking(book, clock)
    book.work(Fills).describe_reservoir(build, TANK)
    _read(book, build, 120, 22)
    clock.run(3600)
    book.work(Soaks).read(build, course(60))
    clock.run(3500)
    book.work(Soaks).do_step(build, JOINTS_HOT)
    assert book.work(Soaks).close(build).outcome == "pass"
    clock.run(4 * 3600)
    after = _read(book, build, 112, 22)
    assert not counts(after, "thermal_soak")


@pytest.mark.parametrize(
    ("levels", "cycles_ml", "outcome", "told"),
    [
        # 4 mm are 11.3 mL, less 1.64 times 2.0 mL: 8 mL that no cycle told, three times
        ((120, 116, 112, 108, 108, 108), (0, 0, 0, 0, 0), "inconclusive", "2 of 3 clean cycles"),
        ((120, 120.5, 119.5, 120, 120, 120), (0, 0, 0, 0, 0), "pass", "each took at most"),  # an eye reads to 0.5 mm
        # the same fall, read before the top-up that the next cycle tells; then 12 mm: 33.9 mL less 3.3 mL
        ((120, 116, 120, 120, 120, 120, 120), (0, 11.3, 0, 0, 0, 0), "pass", "each took at most"),
        (
            (120, 116, 108, 108, 108, 108, 108),
            (0, 0, 0, 0, 0, 0),
            "pass",
            "31 mL more left",
        ),
    ],
)
def test_a_level_that_falls_between_two_cycles_counts_as_what_the_cycle_took(
    levels: tuple[float, ...], cycles_ml: tuple[float, ...], outcome: str, told: str
) -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    book.work(Fills).describe_reservoir(build, TANK)
    _read(book, build, levels[0])
    answer(book, build, book.work(Bleeds), When.BEFORE_PUMP)
    book.work(Bleeds).start(build)
    for mm, ml in zip(levels[1:], cycles_ml, strict=True):
        run_cycle(book, clock, build, ml)
        _read(book, build, mm)
    verdict = book.work(Bleeds).close(build)
    assert (verdict.outcome, [told in say(reason) for reason in verdict.reasons].count(True)) == (outcome, 1)


def test_a_level_that_was_withdrawn_in_a_bleed_is_told_where_it_speaks_against_it() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    book.work(Fills).describe_reservoir(build, TANK)
    _read(book, build, 120)
    answer(book, build, book.work(Bleeds), When.BEFORE_PUMP)
    book.work(Bleeds).start(build)
    for mm in (120, 112, 119.5, 120, 120):  # 8 mm are 22.6 mL, less 3.3 mL; half a millimetre is what an eye may err
        run_cycle(book, clock, build, 0)
        _read(book, build, mm)
        if mm < 120:
            book.withdraw(book.entries(build)[-1].seq, "typo")
    told = [say(one) for one in book.work(Bleeds).close(build).reasons if one.code == "withdrawn_against"]
    assert len(told) == 1
    assert told[0].count("level") == told[0].count("level 112 mm") == 1


def test_a_level_without_its_temperature_says_how_much_that_hides() -> None:
    """6 mm are 17.0 mL; 1 % of 1.1 L twice is 15.6 mL, with 2.0 mL of the eye 15.7, times 1.64 25.8 mL."""
    book, _, clock = new_book()
    build = _bled(book, clock)
    _read(book, build, 120)
    hand = CoolantAtHand(book, build, book.work(Fills))
    hidden = "17 mL less than after the bleed; a temperature was not read, so up to 26 mL may be warmth: type it, too"
    assert level_deed(hand, "114 mm", stage="fill").told.endswith(f"; {hidden}")
    assert "read it again" in level_deed(hand, "114 mm 21 degC", stage="fill").told
    _read(book, build, 114, None)
    assert "level_hides" in {one.code for one in told_with_it(facts_of(book.procedure(hand.state), book.build(build)))}
