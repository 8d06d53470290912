"""The duties that chains were left at, and the names by which readings call them."""

from collections.abc import Sequence

from commission.base.errors import InputError
from commission.base.text import clip
from commission.record.build_state import BuildState
from commission.record.machine.left_at import LeftAt
from commission.record.machine.seats import Chain
from commission.stages.thermal_soak.judge.columns import DUTY_WITHIN
from commission.stages.thermal_soak.model import Named

FANS = ("fans", "fan")
"""Words for all fans."""
PUMP = "pump"
"""Word for the pump."""


def left_at(state: BuildState) -> tuple[Named, ...]:
    """Return the duties that chains were left at, by the names by which readings may call them."""
    left, chains = dict(state.of(LeftAt).duties), state.plugged.chains
    named = [Named(name=one.name, value=left[one.chain_id]) for one in chains if one.chain_id in left]
    for words, pump in ((FANS, False), ((PUMP,), True)):
        values = _left_of(state, [one for one in chains if one.pump is pump])
        if values and not _differ(values):
            named += [Named(name=word, value=min(values)) for word in words if not _called(chains, word)]
    return tuple(named)


def refuse_duty_name(state: BuildState, name: str, *, table: bool) -> None:
    """Raise InputError where a duty is of no chain of the build, by name or by a word for all.

    Parameters
    ----------
    state
        The build; where it has no chain, any name is taken, since nothing was left at a duty.
    name
        As a reading calls it.
    table
        Whether it is the heading of a column, of a file or of what comes by itself.
    """
    chains, word = state.plugged.chains, name.casefold()
    if not chains or _called(chains, word):
        return
    names = ", ".join(one.name for one in chains)
    do = "Head its column" if table else "Type"
    if word not in (*FANS, PUMP):
        one = next((one for one in chains if not one.pump), chains[0]).name
        such = f"duty {one} [%]" if table else f"{one} 50 %"
        raise InputError(f"there is no chain {clip(name)}; there are: {names}. {do} such as {such}; fans means all")
    alike = [one for one in chains if one.pump is (word == PUMP)]
    if _differ(_left_of(state, alike)):
        own = ", ".join(one.name for one in alike)
        do = "Head a column by" if table else "Type"
        raise InputError(f"{word}: these chains are left at different duties. {do} the name of each: {own}")


def _called(chains: Sequence[Chain], word: str) -> bool:
    return any(one.name.casefold() == word for one in chains)


def _left_of(state: BuildState, chains: Sequence[Chain]) -> list[float]:
    left = dict(state.of(LeftAt).duties)
    return [left[one.chain_id] for one in chains if one.chain_id in left]


def _differ(duties: Sequence[float]) -> bool:
    return bool(duties) and max(duties) - min(duties) > DUTY_WITHIN
