"""From a typed cycle to what is stored: volumes from levels, the top-up from the bottle in hand, and usual values."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError, in_words
from commission.base.frozen import Frozen, replace
from commission.base.quantity import Measured, Quantity
from commission.bench.deed import Deed, numbered
from commission.bench.figures import duration
from commission.physics.detection import rectangular_uncertainty
from commission.procedure.stage_ids import FILL
from commission.record.machine.noise import Noise
from commission.stages.bleed.model import BleedCycle, Bubbles, GoneBy, PumpState
from commission.stages.bleed.state import BleedState
from commission.stages.bleed.typed.cycle import GONE, CycleLine, defaults_told, read_cycle
from commission.stages.bleed.work import Bleeds
from commission.stages.fill.model.fill import Dose, Pour, Way
from commission.stages.fill.typed.reservoir import EXAMPLE
from commission.units.show import show
from commission.units.worded import worded

if TYPE_CHECKING:
    from commission.stages.fill.at_hand import CoolantAtHand


class TypedCycle(Frozen):
    """A cycle as it was typed and understood; not stored yet."""

    told: str
    """It in words."""
    cycle: BleedCycle
    """The cycle."""
    pour: Pour | None
    """The top-up that goes with it."""


def typed_cycle(hand: "CoolantAtHand", text: str) -> TypedCycle:
    """Return a cycle as it was typed.

    Raises
    ------
    InputError
        If it cannot be understood, or says not how much air came out.
    """
    line = read_cycle(text, degrees=hand.degrees)
    cycle, pour = cycle_of(hand, line)
    return _told(cycle, pour)


def ran_for(typed: TypedCycle, ran: Measured) -> TypedCycle:
    """Return the cycle with another time that the pump ran."""
    return _told(replace(typed.cycle, run_s=ran.si, inputs=(ran, *typed.cycle.inputs)), typed.pour)


def _told(cycle: BleedCycle, pour: Pour | None) -> TypedCycle:
    gone = f"{show(cycle.gone_m3, Quantity.VOLUME, digits=3)} ± {show(cycle.resolution_m3, Quantity.VOLUME, digits=2)}"
    told = f"{gone} {GONE[cycle.gone_by]} · {defaults_told(cycle)}"
    if cycle.start_fall_m3 is not None:
        told += f" · breath {show(cycle.start_fall_m3, Quantity.VOLUME, digits=2)}"
    if pour is not None:
        told += f" · of {pour.bottle.name}"
    told += f' · note "{cycle.note}"' if cycle.note else ""
    return TypedCycle(told=told, cycle=cycle, pour=pour)


def cycle_deed(hand: "CoolantAtHand", typed: TypedCycle) -> Deed:
    """Return what a typed cycle does."""
    return numbered(typed.told, lambda: hand.book.work(Bleeds).cycle(hand.build_id, typed.cycle, typed.pour))


def doubt_of(hand: "CoolantAtHand", typed: TypedCycle) -> str:
    """Return what the clock says against the minutes of a typed cycle; empty where nothing."""
    if not hand.book.work(Bleeds).clock_contradicts(hand.state, typed.cycle):
        return ""
    since = "the cycle before" if hand.state.of(BleedState).cycles else "the start"
    said = any(one.quantity is Quantity.DURATION for one in typed.cycle.inputs)
    ran = duration(typed.cycle.run_s)
    typed_run = f"You typed {ran} of running" if said else f"You typed no minutes; {ran} of running are taken then"
    return f"{typed_run}, but only {room_text(hand)} by the clock since {since}"


def room_text(hand: "CoolantAtHand") -> str:
    """Return how long the pump can have run by the clock, in whole minutes."""
    return f"{max(0.0, hand.book.work(Bleeds).time_for_run_s(hand.state)) // 60:.0f} min"


def cycle_of(hand: "CoolantAtHand", line: CycleLine) -> tuple[BleedCycle, Pour | None]:
    """Return the cycle, and the top-up that goes with it; what was not said is as in the cycle before, or not known."""
    last = hand.state.of(BleedState).cycles[-1].cycle if hand.state.of(BleedState).cycles else None
    gone, resolution, by, pour = _gone(hand, line)
    pump = line.pump or PumpState.RUNNING
    run = line.run.si if line.run else (last.run_s if last else hand.stage.limit("cycle_s"))
    inputs = [one for one in (line.run, line.top_up, line.fall, line.breath, line.error, line.at) if one is not None]
    cycle = BleedCycle(
        pump=pump,
        run_s=run,
        tilt=line.tilt or (last.tilt if last else "upright"),
        gone_m3=gone,
        resolution_m3=resolution,
        gone_by=by,
        bubbles=line.bubbles or Bubbles.NOT_LOOKED,
        noise=line.noise or Noise.NOT_LISTENED,
        pump_rpm=line.rpm,
        pump_duty=line.duty,
        start_fall_m3=None if line.breath is None else _breath(hand, line.breath),
        inputs=tuple(inputs),
        note=line.note,
    )
    return cycle, pour


def _gone(hand: "CoolantAtHand", line: CycleLine) -> tuple[float, float, GoneBy, Pour | None]:
    if line.top_up is not None and line.fall is not None:
        raise InputError("type the top-up to the mark, or the fall of the level; both together count the air twice")
    if line.fall is not None:
        gone, resolution = _fallen(hand, line.fall)
        return gone, _error(hand, line, resolution), GoneBy.LEVEL_DROP, None
    if line.top_up is None:
        raise InputError(
            worded("how much was topped up to the mark? type it, such as 12 mL, or 0 mL where nothing was")
        )
    resolution = _error(hand, line, hand.stage.limit("resolution_m3"))
    if line.top_up.si == 0:
        return 0.0, resolution, GoneBy.TOP_UP, None
    pour = _top_up(hand, line.top_up, line.at, resolution)
    return _at_reference(pour), resolution, GoneBy.TOP_UP, pour


def _error(hand: "CoolantAtHand", line: CycleLine, usual: float) -> float:
    """Return the half-width of the reading [m3]."""
    if line.error is None:
        return usual
    if line.error.si == 0:
        raise InputError(worded("a reading is never exact; type an error above 0, such as ± 0.5 mL"))
    return _per_length(hand) * line.error.si if line.error.quantity is Quantity.LENGTH else line.error.si


def _per_length(hand: "CoolantAtHand") -> float:
    """Return the volume of one metre of level [m3/m]."""
    from commission.physics.vessels import ring_area

    tank = hand.coolant.reservoir
    if tank is None:
        raise InputError(f"what is a mm worth? First type the reservoir's inner diameter and height: {worded(EXAMPLE)}")
    with in_words():
        return ring_area(tank.bore_m, tank.insert_m)


def _fallen(hand: "CoolantAtHand", fall: Measured) -> tuple[float, float]:
    """Return the volume of a fall of the level, and its half-width from two readings [m3]."""
    if fall.quantity is Quantity.VOLUME:
        return fall.si, hand.stage.limit("resolution_m3")
    area = _per_length(hand)
    u = hand.book.procedure(hand.state).stage(FILL).limit("level_u_m")
    return area * fall.si, area * u * 2**0.5 * 3**0.5


def _breath(hand: "CoolantAtHand", breath: Measured) -> float:
    return breath.si if breath.quantity is Quantity.VOLUME else _per_length(hand) * breath.si


def _top_up(hand: "CoolantAtHand", volume: Measured, at: Measured | None, resolution: float) -> Pour:
    from commission.physics.loop_volume import Uncertain
    from commission.stages.fill.judge.dose import check_against_bottle, dose_by_volume
    from commission.stages.fill.work.fills import liquid_of

    bottle = hand.bottle_in_hand
    at_k, _ = hand.temperature(at)
    inputs = (volume, *((at,) if at else ()))
    with in_words():
        dose: Dose = dose_by_volume(
            liquid_of(bottle),
            Uncertain(volume.si, rectangular_uncertainty(resolution)),
            at_k,
            cup_u=hand.book.procedure(hand.state).stage(FILL).limit("cup_u"),
            way=Way.VOLUME,
            inputs=inputs,
        )
    check_against_bottle(dose, hand.left_m3(bottle))
    return Pour(bottle=bottle, dose=dose)


def _at_reference(pour: Pour) -> float:
    """Return the volume of a top-up at the temperature to which volumes are referred [m3]."""
    from commission.stages.fill.judge.liquid import expansion
    from commission.stages.fill.model.fill import REFERENCE_K
    from commission.stages.fill.work.fills import liquid_of

    try:
        grown = expansion(liquid_of(pour.bottle), pour.dose.at_k, REFERENCE_K).value
    except InputError:
        grown = 1.0
    return pour.dose.volume_m3 * grown
