"""Soaks of an invented loop, as a formula gives them, and a build that may be soaked."""

import math

from commission.procedure.load import default_toml, load_procedure
from commission.procedure.model import When
from commission.procedure.stage_ids import THERMAL_SOAK
from commission.record.logbook import Logbook
from commission.stages.fan_headers.entries import SweepSource
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.stages.thermal_soak.model import Named, SoakPlan, SoakReading, SoakRule
from commission.stages.thermal_soak.work.soaks import Soaks, rule_of
from tests.fakes import HandClock
from tests.power_builds import chain, falling, header, powered_build
from tests.wet_builds import answer

RULE: SoakRule = rule_of(load_procedure(default_toml()).stage(THERMAL_SOAK))
"""The rule that ships."""
AIR_K = 295.15


def course(
    minutes: float,
    *,
    every_s: float = 60.0,
    end_k: float = 10.0,
    start_k: float = 0.0,
    tau_s: float = 600.0,
    load_w: float | None = 400.0,
    flow_m3_s: float | None = 0.2 / 3600,
    drop_k: float = 1.7,
    cpu_k: float | None = 32.0,
) -> tuple[SoakReading, ...]:
    """Return readings of T(t) = end - (end - start) exp(-t/tau) above air, unrounded."""
    found = []
    for at in range(round(60 * minutes / every_s) + 1):
        t = at * every_s
        coolant = AIR_K + end_k - (end_k - start_k) * math.exp(-t / tau_s)
        found.append(
            SoakReading(
                elapsed_s=t,
                air_k=AIR_K,
                warm_k=coolant + drop_k / 2,
                cool_k=coolant - drop_k / 2,
                flow_m3_s=flow_m3_s,
                load_w=load_w,
                components=() if cpu_k is None else (Named(name="cpu", value=coolant + cpu_k),),
            )
        )
    return tuple(found)


def headers_passed(book: Logbook, clock: HandClock) -> str:
    """Return a build whose rungs and fan headers passed, and whose soak a reason opens: it was bled elsewhere."""
    build = powered_build(book, clock)
    pass_headers(book, build)
    book.override(build, THERMAL_SOAK, "bled on another bench")
    return build


def pass_headers(book: Logbook, build: str) -> None:
    """Plug one chain of fans, sweep it and end the stage with a pass."""
    headers = book.work(FanHeaders)
    headers.seats.add_header(build, header("SYS 1"))
    headers.seats.add_chain(build, chain("front"))
    answer(book, build, headers, When.BEFORE_PLUGGING)
    headers.seats.move(build, "front", "SYS 1")
    answer(book, build, headers, When.BEFORE_SWEEP)
    headers.sweeps.take_sweep(build, "front", falling(), SweepSource.TYPED)
    headers.note_duty(build, "front", 50, 750)
    assert headers.close(build).outcome == "pass"


def soaking(book: Logbook, clock: HandClock) -> str:
    """Return a build in which a soak was begun."""
    build = headers_passed(book, clock)
    answer(book, build, book.work(Soaks), When.BEFORE_SOAK)
    book.work(Soaks).start(build, SoakPlan())
    return build
