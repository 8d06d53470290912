"""Lines of ``show`` that more than one stage prints: attempts that ended, reasons, volumes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.shell.console import ascii_only
from commission.shell.moment import moment
from commission.shell.shown import shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from commission.base.quantity import Phrase
    from commission.record.fold import BuildState


def ended_lines(state: BuildState, stage: str) -> Iterator[str]:
    """Yield every attempt at a stage that was ended: what it proved, when, and whether that still holds."""
    for run in state.runs.get(stage, ()):
        if run.closed is not None and run.outcome is not None:
            stale = f"; STALE since entry {run.stale_by}" if run.stale_by is not None else ""
            when = moment(run.closed.mark.wall_ms, run.closed.mark.offset_min)
            yield f"{stage} {run.attempt}: {run.outcome}, closed {when}{stale}"


def reason_lines(name: str, reasons: Iterable[Phrase]) -> Iterator[str]:
    """Yield reasons under the name of what they speak of."""
    from commission.units.show import say

    for reason in reasons:
        yield f"{name} reason: {say(reason, ascii_only=ascii_only())}"


def volumes(*si: float) -> tuple[str, ...]:
    """Return volumes [m3] as text."""
    return tuple(shown(one, Quantity.VOLUME) for one in si)
