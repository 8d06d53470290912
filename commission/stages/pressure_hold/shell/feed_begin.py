"""How ``commission feed`` finds the running hold that rows go into, or begins one."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.errors import FileError, NotAllowed, UnknownName
from commission.base.frozen import replace
from commission.base.quantity import Quantity
from commission.physics.gas import STANDARD_ATMOSPHERE_PA
from commission.record.fold import BuildState
from commission.record.machine.instrument import GaugeFace
from commission.shell.console import tell
from commission.shell.shown import shown
from commission.stages.pressure_hold.entries import SourceOff
from commission.stages.pressure_hold.shell.basis import Asked, Basis, Seen, basis_of, overruled_by
from commission.stages.pressure_hold.shell.caution_text import caution_lines
from commission.stages.pressure_hold.shell.overruled import one_source
from commission.stages.pressure_hold.state.attempt import hold_of
from commission.stages.pressure_hold.work.doubts import LEAST_START_SHARE
from commission.stages.pressure_hold.work.holds import Holds
from commission.stages.pressure_hold.work.judged import STAGE
from commission.stages.pressure_hold.work.plan_rules import refuse_outdated, refuse_plan, refuse_wet, with_known_range
from commission.stages.pressure_hold.work.rig import describe_rig, rig_of
from commission.units.show import show

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.base.clock import ClockMark
    from commission.procedure.model import Stage
    from commission.record.logbook import Logbook
    from commission.stages.pressure_hold.entries import HoldPlan
    from commission.stages.pressure_hold.files.header import Column
    from commission.stages.pressure_hold.files.rows import Sample as Row
    from commission.stages.pressure_hold.files.settings import HoldSettings
    from commission.stages.pressure_hold.shell.options import Wish

LOWEST_START_PA = 500.0
"""A first reading below this has the wrong unit, or nothing was pumped up [Pa gauge]; our choice: below it no hold
tests anything."""


def running_build(book: Logbook, name: str) -> str:
    """Return the id of the build of that name, in which a hold must be running.

    Raises
    ------
    UnknownName
        If there is no such build.
    NotAllowed
        If no hold is running in it.
    """
    build_id = book.find_build(name)
    if not hold_of(book.build(build_id)).running:
        raise NotAllowed(f'no hold is running in "{name}"; say --new to start one with the first row')
    return build_id


def tell_other_lines(book: Logbook, build_id: str, settings: HoldSettings) -> None:
    """Say which comment lines speak against the plan of the running hold: they come too late to count."""
    hold = hold_of(book.build(build_id))
    plan = hold.plan
    assert plan is not None  # a started hold has one
    told = (
        ("volume", settings.volume, plan.volume_m3),
        ("limit", settings.limit, plan.limit_pa_m3_s),
        ("settle", settings.settle, plan.settle_s or 0.0),
    )
    other = [key for key, line, si in told if line is not None and not math.isclose(line.si, si, rel_tol=1e-6)]
    other += ["source"] if settings.source not in (None, hold.source) else []
    if other:
        tell(f"does not count: {', '.join(other)} of this input; the hold goes on as it was started")


def refuse_other_instruments(plan: HoldPlan, settings: HoldSettings) -> None:
    """Refuse an input that says it was read with coarser instruments than the plan counts with.

    Raises
    ------
    NotAllowed
        If a step is coarser than in the plan, or the gauge is a dial, or one that nobody taps, and the plan's is not.
    """
    for what, said, planned in (
        ("gauge step", settings.gauge_step, plan.gauge),
        ("air step", settings.air_step, plan.thermometer),
        ("barometer step", settings.barometer_step, plan.barometer),
    ):
        if said is not None and planned is not None and said.si > planned.resolution * (1 + 1e-6):
            raise NotAllowed(
                f'the {what} {said.typed} of this input is coarser than that of "{planned.name}" in the plan. Plan '
                "with the instrument that was read"
            )
    gauge, dial = plan.gauge, settings.gauge_kind is GaugeFace.DIAL
    if (dial and gauge.face is not GaugeFace.DIAL) or (settings.tapped is False and gauge.tapped):
        read = "on a dial" if gauge.face is not GaugeFace.DIAL else "on a dial that nobody tapped"
        raise NotAllowed(
            f'this input was read {read}, and the plan counts with "{gauge.name}", which reads finer. Plan with the '
            "gauge that was read"
        )


def build_or_none(book: Logbook, name: str) -> BuildState | None:
    """Return the build of that name, in which no hold may be running; None where there is none.

    Raises
    ------
    NotAllowed
        If a hold is running in it.
    """
    try:
        build_id = book.find_build(name)
    except UnknownName:
        return None
    state = book.build(build_id)
    if hold_of(state).running:
        raise NotAllowed(f'a hold is running in "{name}"; leave out --new to carry it on, or close it first')
    return state


def refuse_untimed(row: Row, began_ms: int, now: ClockMark, line: int) -> None:
    """Refuse a first row that cannot be taken over from a file.

    Raises
    ------
    FileError
        If it has no time of its own, or one before the start or after now.
    """
    if row.elapsed_s is None and row.at_ms is None:
        raise FileError("with --began each row needs its time; head a column elapsed [s] or time", line=line)
    at_ms = row.at_ms if row.elapsed_s is None else began_ms + 1000 * row.elapsed_s
    if not began_ms <= (at_ms or 0) <= now.wall_ms:
        raise FileError("it lies before --began or after now; correct --began, or the time of the row", line=line)


def begin_hold(book: Logbook, name: str, seen: Seen, settings: HoldSettings, wish: Wish) -> str:
    """Open the build if there is none, record plan, cautions and start of a new hold, and return the build's id.

    Raises
    ------
    CommissionError
        If anything stands against it; then nothing was recorded.
    """
    state = build_or_none(book, name)
    stage = stage_of(book, state)
    if wish.began_ms is not None:
        book.work(Holds).times.refuse_began(state or BuildState(build_id=""), wish.began_ms)
    refuse_wet(state or BuildState(build_id=""), drained=wish.drained)
    how = one_source(wish.source, settings.source)
    if how is None:
        raise NotAllowed(
            "how is the source off? A source that seeps in hides a leak. Say --source with one of "
            + ", ".join(f'"{one}"' for one in SourceOff)
        )
    if wish.planned:
        basis = Basis(plan=as_planned(state, name, seen), assumed=(), source=how)
        refuse_other_instruments(basis.plan, settings)
        refuse_outdated(basis.plan, book.shop().instruments)
    else:
        volume = state.tested_volume if state is not None else None
        basis = basis_of(None, settings, seen, stage, volume, source=how)
    for sentence in overruled_by(Asked(limit=wish.limit_pa_m3_s), settings):
        tell(f"overruled: {sentence}")
    refuse_plan(state or BuildState(build_id=""), stage, basis.plan)
    if not wish.planned:
        plan = with_known_range(basis.plan, book.shop().instruments)
        basis = replace(basis, plan=_wished(book, state or BuildState(build_id=""), plan, wish))
    refuse_plan(state or BuildState(build_id=""), stage, basis.plan)
    _print_cautions(book, state or BuildState(build_id=""), basis)
    build_id = book.open_build(name) if state is None else state.build_id
    book.work(Holds).plan(build_id, basis.plan)
    book.work(Holds).print_cautions(build_id)
    if hold_of(book.build(build_id)).rig is not rig_of(how):
        describe_rig(book.work(Holds), build_id, rig_of(how))
    book.work(Holds).isolate(build_id, how)
    book.work(Holds).start(build_id, began_ms=wish.began_ms)
    if wish.planned:
        tell_other_lines(book, build_id, settings)
    return build_id


def as_planned(state: BuildState | None, name: str, seen: Seen) -> HoldPlan:
    """Return the plan of the build at the pressure that was pumped up; far below it, the planned one stays to be met.

    Raises
    ------
    NotAllowed
        If there is none, or the input reads other instruments than it.
    """
    plan = hold_of(state).plan if state is not None else None
    if plan is None:
        raise NotAllowed(f'"{name}" has no plan of a hold yet; "commission plan" makes one')
    for what, planned, read in (
        ("an absolute sensor", plan.gauge.quantity is Quantity.ABSOLUTE_PRESSURE, seen.absolute),
        ("a thermometer", plan.thermometer is not None, seen.air_step_k is not None),
        ("a barometer", plan.barometer is not None, seen.barometer_step_pa is not None),
    ):
        if planned is not read:
            has, lacks = ("plan", "input") if planned else ("input", "plan")
            raise NotAllowed(f"the {has} has {what}, the {lacks} has none; change the plan or the columns")
    far_below = seen.target_gauge_pa < LEAST_START_SHARE * plan.target_gauge_pa
    return plan if far_below else replace(plan, target_gauge_pa=seen.target_gauge_pa)


def _wished(book: Logbook, state: BuildState, plan: HoldPlan, wish: Wish) -> HoldPlan:
    """Return the plan with the limit of the command line, and with the time that decides where none was given."""
    if wish.limit_pa_m3_s is not None:
        plan = replace(plan, limit_pa_m3_s=wish.limit_pa_m3_s)
    if wish.hold_s is None:
        plan = book.work(Holds).deciding(state, plan)
        tell(f"planned: {shown(plan.hold_s, Quantity.DURATION)}, after which a tight loop passes if all goes well")
    return plan


def stage_of(book: Logbook, state: BuildState | None) -> Stage:
    """Return the stage as a build is judged by it, or as a new build would be."""
    return book.procedure(state or BuildState(build_id="")).stage(STAGE)


def _print_cautions(book: Logbook, state: BuildState, basis: Basis) -> None:
    """Print what must be read before; where nobody can read it, nothing is recorded as printed, and no hold starts."""
    for line in caution_lines(book.procedure(state).stage(STAGE), state.tested_parts, basis.plan):
        if not tell(line):
            raise NotAllowed("the cautions could not be printed on standard error; the hold was not started")
    for sentence in basis.assumed:
        tell(f"assumed: {sentence}")


def seen_in(columns: tuple[Column, ...], decimals: Mapping[str, int], row: Row, line: int, hold_s: float) -> Seen:
    """Return what the header and the first row show.

    Raises
    ------
    FileError
        If the first reading cannot be a test pressure.
    """
    by_role = {str(column.role): column for column in columns}
    absolute = "absolute" in by_role
    pressure = by_role["absolute" if absolute else "gauge"]
    atmosphere = (row.barometer_pa or STANDARD_ATMOSPHERE_PA) if absolute else 0.0
    target = row.pressure_pa - atmosphere
    if target < LOWEST_START_PA:
        read = show(target, Quantity.GAUGE_PRESSURE, own="mbar")
        raise FileError(
            (
                f"the first reading is {read} gauge, which tests nothing. Pump "
                f"up first, or correct the unit [{pressure.unit}] in the header"
            ),
            line=line,
            field=pressure.role,
        )
    return Seen(
        absolute=absolute,
        unit=pressure.unit,
        target_gauge_pa=target,
        hold_s=hold_s,
        gauge_step_pa=_step(pressure, decimals, row.pressure_pa),
        air_step_k=None if row.air_k is None else _step(by_role["air"], decimals, None),
        barometer_step_pa=None if row.barometer_pa is None else _step(by_role["barometer"], decimals, None),
    )


def _step(column: Column, decimals: Mapping[str, int], si: float | None) -> float:
    """Return one step of a display [SI], as the digits of one reading show it; whole tens give ten."""
    digits = decimals.get(column.role, 0)
    tens = digits == 0 and si is not None and round(si / column.factor) % 10 == 0
    return column.factor * (10.0 if tens else 10.0**-digits)
