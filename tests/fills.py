"""Bottles, amounts and cycles that several tests pour and bleed with; all invented."""

from commission.record.machine.noise import Noise
from commission.stages.bleed.model import BleedCycle, Bubbles, GoneBy, PumpState, SqueezeCheck, TimedCycle
from commission.stages.fill.model.coolant import Base, Basis, Bottle
from commission.stages.fill.model.fill import Dose, Way

ML = 1e-6
G = 1e-3
ROOM_K = 293.15


def bottle(base: Base = Base.WATER, fraction: float | None = None, **more: object) -> Bottle:
    """Return a litre bottle; glycols by mass unless said otherwise."""
    given: dict[str, object] = {
        "bottle_id": f"id of {base}",
        "name": f"bottle of {base}",
        "base": base,
        "size_m3": 1e-3,
        "fraction": fraction,
        "basis": None if fraction is None else Basis.MASS,
    }
    return Bottle(**(given | more))  # type: ignore[arg-type]


WATER = bottle()
PREMIX = bottle(Base.PROPYLENE_GLYCOL, 0.30)
EG_PREMIX = bottle(Base.ETHYLENE_GLYCOL, 0.30)
READY = bottle(Base.READY_MIX, density_kg_m3=1035.0, freezing_k=255.15)
MYSTERY = bottle(Base.UNKNOWN)


def dose(ml: float, grams: float | None = None, *, at_k: float = ROOM_K, u_ml: float = 0.0, **more: object) -> Dose:
    """Return an amount; its mass is left to the density unless given."""
    given: dict[str, object] = {
        "way": Way.WEIGHED,
        "volume_m3": ml * ML,
        "at_k": at_k,
        "u_reading_m3": u_ml * ML,
        "u_shared_m3": 0.0,
        "mass_kg": None if grams is None else grams * G,
    }
    return Dose(**(given | more))  # type: ignore[arg-type]


def cycle(number: int, ml: float, **more: object) -> TimedCycle:
    """Return a quiet half hour that ended half an hour after the one before."""
    given: dict[str, object] = {
        "pump": PumpState.RUNNING,
        "run_s": 1800.0,
        "tilt": "upright",
        "gone_m3": ml * ML,
        "resolution_m3": 1 * ML,
        "gone_by": GoneBy.TOP_UP,
        "bubbles": Bubbles.NONE,
        "noise": Noise.QUIET,
    }
    return TimedCycle(seq=number, elapsed_s=1800.0 * number, cycle=BleedCycle(**(given | more)))  # type: ignore[arg-type]


def cycles(*amounts_ml: float, **more: object) -> list[TimedCycle]:
    """Return one such cycle for each amount."""
    return [cycle(number, ml, **more) for number, ml in enumerate(amounts_ml, 1)]


ATM_PA = 101_325.0
SQUEEZE = SqueezeCheck(
    first_pa=ATM_PA,
    u_first_pa=100.0,
    second_pa=ATM_PA + 30_000,
    u_second_pa=100.0,
    fall_m3=6 * ML,
    u_fall_m3=0.3 * ML,
    compliance_m3_pa=0.0,
    u_compliance_m3_pa=0.0,
    liquid_m3=0.0,
    liquid_k=293.15,
    waited_s=180.0,
)
"""A full loop with rigid tubes, squeezed by 300 mbar: the level fell by 6 mL."""
