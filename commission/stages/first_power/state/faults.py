"""What failed on the rungs of the first power-on: it stays, whatever is measured later, until it was mended."""

from collections.abc import Sequence

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.record.machine.joints import Paper
from commission.record.machine.noise import Noise
from commission.record.machine.rungs import Rung
from commission.stages.first_power.model.cables import CableVerdict
from commission.stages.first_power.model.ladder import PowerFault
from commission.stages.first_power.model.machine_start import MachineVerdict
from commission.stages.first_power.model.rails import PowerGoodVerdict, RailRow, RailsVerdict
from commission.stages.first_power.model.wet_watch import LevelLook, WetLook, WetWatch

LEVEL = "level in the leak watch"
"""What is said to have failed where the level sank."""
UNDER_LOAD = " under load"
"""What the place of a voltage ends on that was read under load."""


def after_cable(faults: Sequence[PowerFault], name: str, verdict: CableVerdict) -> tuple[PowerFault, ...]:
    """Return the faults after a cable was measured; one that is still open keeps its place and says the last."""
    if verdict.outcome is not Outcome.FAIL:
        return tuple(faults)
    said = " ".join(phrase.template for phrase in verdict.faults)
    return _with(faults, PowerFault(rung=Rung.CABLES, what=f"cable {name}", said=said))


def after_rails(
    faults: Sequence[PowerFault], verdict: RailsVerdict, good: PowerGoodVerdict | None
) -> tuple[PowerFault, ...]:
    """Return the faults after voltages were read; readings that are only carried along make no second fault."""
    for row in verdict.rows:
        if row.outcome is Outcome.FAIL:
            faults = _with(faults, PowerFault(rung=Rung.SUPPLY, what=_place(row), said=row.said.template))
    if good is not None and good.outcome is Outcome.FAIL:
        faults = _with(faults, PowerFault(rung=Rung.SUPPLY, what="PWR_OK", said=good.reason.template))
    return tuple(faults)


def after_looks(faults: Sequence[PowerFault], looks: Sequence[WetLook]) -> tuple[PowerFault, ...]:
    """Return the faults after looks at joints: each whose paper was wet, or damp more than once."""
    found = []
    for joint in dict.fromkeys(look.joint for look in looks):
        papers = [look.paper for look in looks if look.joint == joint]
        if Paper.WET in papers or papers.count(Paper.DAMP) > 1:
            said = "It was wet." if Paper.WET in papers else "It was damp more than once."
            found.append(PowerFault(rung=Rung.PUMP, what=f"joint {joint}", said=said))
    return _seen(faults, found)


def after_watch(faults: Sequence[PowerFault], watch: WetWatch) -> tuple[PowerFault, ...]:
    """Return the faults after a wet watch: joints, a level that sank, and a pump that drew air."""
    found = []
    if watch.level is LevelLook.SINKING:
        found.append(PowerFault(rung=Rung.PUMP, what=LEVEL, said="It sank."))
    if watch.noise in (Noise.GURGLING, Noise.RATTLING):
        found.append(PowerFault(rung=Rung.PUMP, what="pump in the leak watch", said=f"It was {watch.noise}."))
    return _seen(after_looks(faults, watch.looks), found)


def after_machine(faults: Sequence[PowerFault], verdict: MachineVerdict) -> tuple[PowerFault, ...]:
    """Return the faults after the machine was started; one that fails again after the cure is a fault of its own."""
    if verdict.outcome is not Outcome.FAIL:
        return tuple(faults)
    why = verdict.reasons[0]
    said = why.template.removesuffix(" Power off at once.")
    return _seen(faults, [PowerFault(rung=Rung.MACHINE, what=str(Rung.MACHINE), said=said, amounts=why.amounts)])


def mended(faults: Sequence[PowerFault], what: str, done: str) -> tuple[PowerFault, ...]:
    """Return the faults after it was said what was done about one."""
    return tuple(replace(each, done=done) if each.what == what and not each.done else each for each in faults)


def with_faults(faults: Sequence[PowerFault], found: Sequence[PowerFault]) -> tuple[PowerFault, ...]:
    """Return the faults with others, which stay open though what told of them was withdrawn."""
    kept = tuple(faults)
    for one in found:
        kept = _with(kept, one)
    return kept


def _with(faults: Sequence[PowerFault], found: PowerFault) -> tuple[PowerFault, ...]:
    last = next((each for each in reversed(faults) if each.what == found.what), None)
    if last is None or (last.done and last.said != found.said):
        return (*faults, found)
    if last.done:
        return tuple(faults)
    return tuple(found if each is last else each for each in faults)


def _seen(faults: Sequence[PowerFault], found: Sequence[PowerFault]) -> tuple[PowerFault, ...]:
    """Return the faults with what was seen at one time; what is seen once more after its cure is a fault of its own."""
    for one in found:
        is_open = any(each.what == one.what and not each.done for each in faults)
        faults = _with(faults, one) if is_open else (*faults, one)
    return tuple(faults)


def _place(row: RailRow) -> str:
    loaded = UNDER_LOAD if row.reading.loaded else ""
    return f"{row.reading.plug} {row.reading.rail}{loaded}"
