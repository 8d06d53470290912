"""A soak that goes on, in a few words."""

from collections.abc import Iterator

from commission.bench.face import Running, Urgency
from commission.procedure.stage_ids import THERMAL_SOAK
from commission.record.fold import BuildState
from commission.record.logbook import Logbook
from commission.stages.thermal_soak.rows.figures import counted_readings
from commission.stages.thermal_soak.state import SoakState


def running(_book: Logbook, state: BuildState) -> Iterator[Running]:
    """Yield the soak that goes on: nobody should leave a machine under full load."""
    if state.run(THERMAL_SOAK).running:
        readings = len(state.of(SoakState).readings)
        yield Running(Urgency.WORK, f"thermal soak: {counted_readings(readings)} so far, stay beside it")
