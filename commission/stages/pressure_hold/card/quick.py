"""A hold in one line: a build, one part for all of the loop, a gauge, and a plan that says what it assumes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.bench.face import Start
from commission.bench.figures import duration, half_width, instrument_step, pressure
from commission.bench.names import free_name
from commission.record.build_state import BuildState, ShopState
from commission.record.machine.parts import Part, PartKind
from commission.stages.build_sheet.work import Sheet, refuse_part
from commission.stages.pressure_hold.card.plan import changed, first_plan
from commission.stages.pressure_hold.rows.plan import ASSUMABLE
from commission.stages.pressure_hold.typed.quick import quick_line
from commission.stages.pressure_hold.work.holds import STAGE, Holds
from commission.stages.pressure_hold.work.plan_rules import refuse_plan
from commission.stages.pressure_hold.work.plans import proposed_plan

if TYPE_CHECKING:
    from commission.record.logbook import Logbook
    from commission.record.machine.instrument import Instrument
    from commission.stages.pressure_hold.entries import HoldPlan
    from commission.stages.pressure_hold.typed.quick import QuickLine

EVERYTHING = "everything in the loop"
"""Name of the one part of a quick hold: the lowest rating was typed of all."""


def quick_start(book: Logbook, text: str) -> Start:
    """Return what a quick hold does: it opens the build, and writes down the loop as one part, the gauge and the plan.

    Nothing is stored where any of it is refused.

    Raises
    ------
    InputError or NotAllowed
        If the line cannot be read, or the plan is refused, such as for a pressure above the rating.
    """
    line = quick_line(text, book.new_procedure.typical_instruments)
    gauge = _known(book, line.gauge)
    part, plan = _part(line), _plan(book, line, gauge)
    refuse_part(part)
    refuse_plan(BuildState(build_id="", parts=(part,)), book.new_procedure.stage(STAGE), plan)
    decides = book.work(Holds).capability(BuildState(build_id=""), plan).hold_needed_s is not None
    told = (
        f'new build "{line.name}": {half_width(part.volume_m3, part.u_volume_m3)} guessed, {gauge.face} gauge in '
        f"{instrument_step(gauge)}, {pressure(plan.target_gauge_pa, 'bar')}, everything withstands "
        f"{pressure(line.rating.si, 'bar')}; "
        f"{f'hold {duration(plan.hold_s)}' if decides else 'no hold within two days decides'}; the rest is assumed"
    )
    return Start(told=told, do=lambda: _store(book, line.name, gauge, part, plan))


def _known(book: Logbook, gauge: Instrument) -> Instrument:
    """Return the gauge of the workshop that is the same, else this one under a free name."""
    shop = book.shop().instruments
    for one in shop:
        if one == replace(gauge, instrument_id=one.instrument_id, name=one.name):
            return one
    return replace(gauge, instrument_id=book.new_id(), name=free_name(gauge.name, frozenset(i.name for i in shop)))


def _part(line: QuickLine) -> Part:
    return Part(
        part_id="",
        kind=PartKind.OTHER,
        name=EVERYTHING,
        volume_m3=line.volume.volume_m3,
        u_volume_m3=line.volume.u_volume_m3,
        max_gauge_pa=line.rating.si,
        assumed=("wetted",),
    )


def _plan(book: Logbook, line: QuickLine, gauge: Instrument) -> HoldPlan:
    """Return the plan with the time that decides; without thermometer and barometer, which nobody spoke of."""
    stage = book.new_procedure.stage(STAGE)
    shop = ShopState(instruments=(gauge,))
    plan = first_plan(stage, shop, line.volume, None)
    assert plan is not None  # there is a gauge
    plan = changed(plan, f"pressure {line.target.typed}", stage, shop, None)
    plan = replace(plan, assumed=ASSUMABLE)
    return proposed_plan(book.new_procedure, plan)


def _store(book: Logbook, name: str, gauge: Instrument, part: Part, plan: HoldPlan) -> str:
    """Store it all and return the id of the build."""
    build_id = book.open_build(name)
    if all(one.instrument_id != gauge.instrument_id for one in book.shop().instruments):
        book.add_instrument(gauge)
    book.work(Sheet).add_part(build_id, replace(part, part_id=book.new_id()), ("quick",))
    book.work(Holds).plan(build_id, plan)
    return build_id
