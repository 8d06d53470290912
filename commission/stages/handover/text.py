"""What an entry about a handover or a visit says."""

from typing import assert_never

from commission.base.quantity import Quantity
from commission.bench.figures import millilitres
from commission.record.value_text import shown
from commission.stages.fill.text import movement_text
from commission.stages.handover.entries import (
    CoolantLifeRead,
    HandedOver,
    HandoverEntry,
    ServiceDone,
    SparesNamed,
    ToppedUp,
    VisitBegun,
)


def handover_text(payload: HandoverEntry) -> str:
    """Return what an entry about a handover or a visit says beside its kind.

    Examples
    --------
    >>> handover_text(SparesNamed(spares=("two seals", "a fan"), bottle=""))
    'two seals, a fan; no bottle'
    """
    match payload:
        case SparesNamed():
            return spares_text(payload)
        case CoolantLifeRead(life_s=life, typed=typed):
            return "the bottle states none" if life is None else typed or shown(life, Quantity.DURATION)
        case HandedOver(attempt=attempt, to=to, verdict=verdict):
            over = f"; on a reason alone: {', '.join(verdict.overridden)}" if verdict.overridden else ""
            return f"handover {attempt}: {to}{over}"
        case VisitBegun(why=why):
            return why
        case ToppedUp(pour=pour, usual_m3=usual):
            return f"{movement_text(pour)}; {usual_text(pour.dose.volume_m3, usual)}"
        case ServiceDone(item=item, note=note):
            return f"{item}{f': {note}' if note else ''}"
        case _ as unreachable:
            assert_never(unreachable)


def usual_text(volume_m3: float, usual_m3: float) -> str:
    """Return whether a top-up is usual.

    >>> usual_text(4e-6, 9.92e-6), usual_text(12e-6, 10.1e-6)
    ('usual (up to 9.9 mL)', 'MORE than usual (up to 10 mL)')
    """
    return f"{'usual' if volume_m3 <= usual_m3 else 'MORE than usual'} (up to {millilitres(usual_m3)})"


def spares_text(named: SparesNamed) -> str:
    """Return which spare parts and which bottle go along."""
    spares = ", ".join(named.spares) or "no spare parts"
    return f"{spares}; {named.bottle or 'no bottle'}"
