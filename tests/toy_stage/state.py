"""What the entries about dust filters add up to in a build."""

from collections.abc import Mapping
from typing import assert_never

from commission.base.frozen import Frozen, field
from commission.record.build_state import BuildState
from commission.record.logged import Logged
from commission.record.staleness import ended_run, started_run
from tests.toy_stage.entries import FiltersClosed, FilterSeated, FiltersEntry
from tests.toy_stage.model import STAGE


class FiltersState(Frozen):
    """The filters of the attempt at hand or judged last."""

    gaps_m: Mapping[str, float] = field(default_factory=dict)


def apply_filters(state: BuildState, entry: Logged, payload: FiltersEntry) -> BuildState:
    """Return the state after an entry about filters."""
    match payload:
        case FilterSeated(name=name, gap_m=gap_m):
            fresh = state.run(STAGE).started is None
            before = {} if fresh else state.of(FiltersState).gaps_m
            return started_run(state.with_(FiltersState(gaps_m={**before, name: gap_m})), STAGE, entry)
        case FiltersClosed():
            return ended_run(state, STAGE, entry)
        case _ as unreachable:
            assert_never(unreachable)
