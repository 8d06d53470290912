"""What an entry of a bleed says: cycles, squeezes, and what they proved."""

from typing import assert_never

from commission.base.quantity import Quantity
from commission.record.value_text import note_text, shown
from commission.stages.bleed.entries import AirSqueezed, BleedClosed, BleedCycleDone, BleedEntry, BleedStarted
from commission.stages.bleed.model import AirTail, BleedCycle, TailState
from commission.stages.fill.text import movement_text


def bleed_text(payload: BleedEntry) -> str:
    """Return what an entry of a bleed says beside its kind.

    Parameters
    ----------
    payload
        The entry.
    """
    attempt = f"attempt {payload.attempt}"
    match payload:
        case BleedStarted():
            return attempt
        case BleedCycleDone(cycle=cycle, pour=pour):
            topped = f"; {movement_text(pour)}" if pour is not None else ""
            return f"{attempt}: {cycle_text(cycle)}{topped}"
        case AirSqueezed(result=result):
            low, best, high = (
                shown(si, Quantity.VOLUME) for si in (result.air.lower95, result.air.value, result.air.upper95)
            )
            return f"{attempt}: {best} of air, at least {low}, at most {high}"
        case BleedClosed(verdict=bleed):
            return f"{attempt}: {bleed.outcome}, {bleed.cycles} cycles, {tail_text(bleed.tail)}"
        case _ as unreachable:
            assert_never(unreachable)


def cycle_text(cycle: BleedCycle) -> str:
    """Return one cycle of bleeding in one line."""
    gone = shown(cycle.gone_m3, Quantity.VOLUME)
    off = shown(cycle.resolution_m3, Quantity.VOLUME)
    ran = f"pump {cycle.pump} for {shown(cycle.run_s, Quantity.DURATION)}"
    said = [f"{gone} ({cycle.gone_by}, within {off})", ran, cycle.tilt or "position not told"]
    return ", ".join([*said, f"bubbles {cycle.bubbles}", f"noise {cycle.noise}"]) + note_text(cycle.note)


def tail_text(tail: AirTail) -> str:
    """Return the air that is still to come out, or why nothing can be said of it.

    >>> from commission.stages.bleed.model import AirTail
    >>> tail_text(AirTail(state=TailState.TOO_FEW))
    'air left: too few'
    """
    figures = (tail.low_m3, tail.best_m3, tail.high_m3)
    if tail.state is not TailState.CONVERGING or None in figures:
        return f"air left: {tail.state}"
    low, best, high = (shown(si or 0.0, Quantity.VOLUME) for si in figures)
    return f"air left: {best}, at least {low}, at most {high}"
