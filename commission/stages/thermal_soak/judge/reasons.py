"""Why a soak is judged as it is, in sentences."""

import math
from collections.abc import Sequence

from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.text import braced
from commission.base.verdict import Bounded
from commission.physics.gas import ICE_POINT_K

MISSING = "missing_when_cold"
"""Code of the reason that coolant is missing after cooling."""
CHANGED = "changed_meanwhile"
"""Code of the reason that the machine was changed while the soak went on."""
NO_READING = Phrase("no_reading", "Nothing was read in this soak.")
OUT_OF_ORDER = Phrase("out_of_order", "The readings do not go forward in time.")
SIDES_SWAPPED = Phrase(
    "sides_swapped",
    "The warm side reads colder than the cool side: the two sensors are swapped, or the flow turns back.",
)
COLDER_THAN_AIR = Phrase(
    "colder_than_air", "Under load the coolant reads colder than the air at the intake: look where the sensors sit."
)
NO_LOAD = Phrase(
    "no_load",
    "Neither the load was read, nor flow with both sides of the coolant: nothing says at which heat it settles.",
)
NOT_WATCHED = Phrase("joints_not_looked_at", "The joints were not looked at while hot: do that step, then end.")
TOO_FEW = Phrase("too_few_readings", "Too few readings since load and duties are unchanged: six or more are needed.")
STEADY = Phrase("steady", "Settled: every temperature stays within its limit.")


def _k(kelvin: float) -> Amount:
    return Amount(Quantity.TEMPERATURE_DIFFERENCE, round(kelvin, 2))


def _up(kelvin: float) -> float:
    """Return a difference that something reaches at the most, rounded up to tenths [K]."""
    return math.ceil(10 * kelvin - 1e-6) / 10


def _down(kelvin: float) -> float:
    """Return one that it reaches at the least, rounded down to tenths [K]."""
    return math.floor(10 * kelvin + 1e-6) / 10


def degrees(kelvin: float) -> Amount:
    """Return a temperature as it is told."""
    return Amount(Quantity.TEMPERATURE, round(kelvin - ICE_POINT_K, 1) + ICE_POINT_K)  # tenths of a degree Celsius


def not_watched(joints: Sequence[str]) -> Phrase:
    """Say that joints were not looked at while hot; all where none is named."""
    if not joints:
        return NOT_WATCHED
    more = f" and {len(joints) - 1} more" if len(joints) > 1 else ""
    return Phrase(
        NOT_WATCHED.code,
        f"Not proven dry while hot: {braced(joints[0])}{more}. Press dry paper to each, type what it shows, then end.",
    )


FLOW_STANDS = Phrase(
    "flow_stands",
    "The flow reads 0. If the pump stands: load off, power off. Else the meter does not count: look why.",
)


def pump_off(name: str) -> Phrase:
    """Say that a pump was read at 0 %."""
    return Phrase(
        "pump_off", f"{braced(name)} reads 0 %: if it stands, load off and power off; else correct the reading."
    )


def no_heat(above_k: float, least_k: float) -> Phrase:
    """Say that the coolant is hardly warmer than air."""
    return Phrase(
        "no_heat_shown",
        "Coolant is {0} above air, and less than {1} shows no heat: put the whole load on, then go on.",
        (_k(above_k), _k(least_k)),
    )


def carries_little(most_w: float, load_w: float) -> Phrase:
    """Say that the flow cannot carry the load."""
    return Phrase(
        "carries_little",
        "By flow and temperatures the coolant carries at most {0} of the load of {1}. A sensor, the meter or the "
        "load is wrong, or the pump barely turns.",
        (Amount(Quantity.POWER, round(most_w)), Amount(Quantity.POWER, round(load_w))),
    )


def no_rise(most_w: float, load_w: float) -> Phrase:
    """Say that warm and cool side read the same under load."""
    return Phrase(
        "no_rise",
        "Warm and cool side read the same: at that flow at most {0} of the load of {1} can be in the coolant. A sensor "
        "or the meter is wrong.",
        (Amount(Quantity.POWER, round(most_w)), Amount(Quantity.POWER, round(load_w))),
    )


def colder_than_coolant(name: str) -> Phrase:
    """Say that a chip reads colder than what cools it."""
    return Phrase(
        "colder_than_coolant",
        f"{braced(name)} reads colder than the coolant that cools it: its sensor proves nothing. Read the right one.",
    )


def colder_in_air(names: Sequence[str]) -> Phrase:
    """Tell parts that read colder than the coolant."""
    said = f"Colder than the coolant: {braced(', '.join(names))}. Right where air cools it, else the sensor is wrong."
    return Phrase("colder_in_air", said)


def nothing_read(seconds: float) -> Phrase:
    """Tell a time in which nothing was read."""
    said = "Nothing was read for {0}: what the machine did then is not known."
    return Phrase("nothing_read_for", said, (Amount(Quantity.DURATION, round(seconds)),))


def duty_off(name: str) -> Phrase:
    """Say that a chain was read at 0 %."""
    return Phrase(
        "duty_off",
        f"{braced(name)} reads 0 % under load: soak at the duty that it is left at, and log that duty first.",
    )


def more_than_left(name: str, read: float, left: float) -> Phrase:
    """Say that a chain ran faster than it is left at."""
    return Phrase(
        "duty_above_left",
        f"{braced(name)} ran at {{0}}, and is left at {{1}}: soak at the duty that stays, or leave it at this one.",
        (Amount(Quantity.RATIO, round(read, 3)), Amount(Quantity.RATIO, round(left, 3))),
    )


def not_read_since(name: str, since_s: float) -> Phrase:
    """Say that a component was read no more."""
    return Phrase(
        "not_read_since",
        f"The {braced(name)} was not read in the last {{0}}: read it to the end, or a change would not show.",
        (Amount(Quantity.DURATION, since_s),),
    )


def read_late(name: str, read_s: float) -> Phrase:
    """Say that something was read at the very end alone."""
    return Phrase(
        "read_late",
        f"The {braced(name)} was read in the last {{0}} only: read it on.",
        (Amount(Quantity.DURATION, read_s),),
    )


def flow_dropped(last_m3_s: float, usual_m3_s: float) -> Phrase:
    """Say that the last reading of the flow is far below those before."""
    said = "The flow was last read at {0}, and at {1} before: read it once more."
    flows = (Amount(Quantity.FLOW, last_m3_s), Amount(Quantity.FLOW, usual_m3_s))
    return Phrase("flow_dropped", said, flows)


def hung(name: str, seconds: float) -> Phrase:
    """Say that a reading stopped moving in the middle of its climb."""
    said = f"The {braced(name)} climbed, then read the same to the last digit for {{0}}: the logger or sensor hangs. "
    said += "Read again, and soak on."
    return Phrase("reading_hangs", said, (Amount(Quantity.DURATION, seconds),))


def air_climbs(slope_k_s: float) -> Phrase:
    """Say that the air at the intake climbs on."""
    said = "The air at the intake climbs by at least {0} an hour: the machine breathes its own warm air, or the room "
    said += "heats up. Give it air, then go on until that stands still."
    return Phrase("air_climbs", said, (Amount(Quantity.TEMPERATURE_DIFFERENCE, _down(slope_k_s * 3600)),))


def changed_meanwhile(seq: int) -> Phrase:
    """Say that the machine was changed while the soak went on."""
    said = f"Entry {seq} changed the machine while the soak went on: these readings are of another. End, soak again."
    return Phrase(CHANGED, said)


def limit_not_read(name: str) -> Phrase:
    """Say that a component has a limit of its own and nobody read it."""
    return Phrase("limit_not_read", f"The {braced(name)} has a limit of its own and was not read: read it too.")


def wet(joint: str) -> Phrase:
    """Say that a joint was wet while hot."""
    return Phrase(
        "joint_wet_while_hot", f"The paper was wet at {braced(joint)} while hot: load off, power off, mains plug out."
    )


def gap(seconds: float) -> Phrase:
    """Say that nothing was read in most of the time."""
    said = "Nothing was read for {0}, most of the time that counts. Read on, every few minutes."
    return Phrase("nothing_read_between", said, (Amount(Quantity.DURATION, round(seconds)),))


def weeps(joint: str) -> Phrase:
    """Say that a joint was damp more than once while hot."""
    found = f"The paper was damp at {braced(joint)} more than once while hot"
    return Phrase("joint_weeps_while_hot", f"{found}: load off, power off, mains plug out; it weeps.")


def damp(joints: Sequence[str]) -> Phrase:
    """Say which joints were damp at a look while hot."""
    return Phrase("joint_damp_while_hot", f"Damp once while hot: {braced(', '.join(joints))}. Look there again soon.")


def foreseen(high_k: float, limit_k: float) -> Phrase:
    """Say that the bounds of the end are within the limits although it does not stand still yet."""
    return Phrase(
        "foreseen_within",
        "It does not stand still yet; its course leads to at most {0} above air; the limit is {1}.",
        (_k(_up(high_k)), _k(limit_k)),
    )


def too_warm_now(name: str, kelvin: float, limit_k: float) -> Phrase:
    """Say that a reading is above its limit: the stop rule."""
    return Phrase(
        "above_limit_now",
        f"The {braced(name)} reached {{0}}, above {{1}}: full duty at once; if it still climbs, load off, pump on.",
        (degrees(kelvin), degrees(limit_k)),
    )


def settles_above(low_k: float, limit_k: float) -> Phrase:
    """Say that the coolant settles too far above air."""
    return Phrase(
        "settles_above_air",
        "Coolant settles at least {0} above air; limit {1}.",
        (_k(_down(low_k)), _k(limit_k)),
    )


def warm_room(name: str, kelvin: float, air_k: float, limit_k: float) -> Phrase:
    """Say that something settles too warm in the warmest room."""
    return Phrase(
        "too_warm_in_a_warm_room",
        f"With air at {{0}} the {braced(name)} settles at {{1}} or more; the limit is {{2}}.",
        (degrees(air_k), degrees(kelvin), degrees(limit_k)),
    )


def not_bounded(name: str) -> Phrase:
    """Say that an end cannot be bounded yet."""
    return Phrase(
        "end_not_bounded",
        f"Where the {braced(name)} settles is not known yet: it still climbs. Go on at the same load.",
    )


def straddles(name: str, high_k: float, limit_k: float) -> Phrase:
    """Say that the limit lies within the bounds."""
    return Phrase(
        "limit_within_bounds",
        f"The {braced(name)} settles at {{0}} at most; the limit is {{1}}. Bounds too wide: go on at the same load.",
        (degrees(high_k), degrees(limit_k)),
    )


def straddles_above(high_k: float, limit_k: float) -> Phrase:
    """Say that the limit above air lies within the bounds."""
    return Phrase(
        "limit_within_bounds",
        "Coolant settles at most {0} above air; the limit is {1}. Bounds too wide: go on at the same load.",
        (_k(_up(high_k)), _k(limit_k)),
    )


def too_soon(left_s: float) -> Phrase:
    """Say that too little of the course was seen to foresee from it."""
    return Phrase(
        "too_soon_to_foresee",
        "Within the limits so far; decided after {0} more at the same load.",
        (Amount(Quantity.DURATION, -(-left_s // 60) * 60),),  # a forecast is rounded up
    )


def flow_fell(share: float) -> Phrase:
    """Say that the flow fell at one duty."""
    return Phrase(
        "flow_fell",
        "At the same duty the flow fell by {0} or more: air in pump or blocks, or something clogs. Bleed again.",
        (Amount(Quantity.RATIO, round(share, 3)),),
    )


def gets_worse(slope_k_s: float) -> Phrase:
    """Say that it climbs steadily although its bend is long over."""
    return Phrase(
        "gets_worse",
        "It climbs on by {0} an hour at the same load, long after its bend. Look for air in the loop, a dusty filter, "
        "a room that warms. Listen to the pump.",
        (Amount(Quantity.TEMPERATURE_DIFFERENCE, round(slope_k_s * 3600, 1)),),
    )


def load_changed(counts_s: float) -> Phrase:
    """Say that only what came after the last change counts."""
    return Phrase(
        "load_changed",
        "Load or a duty was changed: only the last {0} count.",
        (Amount(Quantity.DURATION, counts_s),),
    )


def more_heat_than_load(heat_w: float, load_w: float) -> Phrase:
    """Say that the balance does not close."""
    return Phrase(
        "more_heat_than_load",
        "The coolant gives off {0}, more than the load of {1} by twice its uncertainty: a sensor or the meter is off.",
        (Amount(Quantity.POWER, round(heat_w)), Amount(Quantity.POWER, round(load_w))),
    )


def of_level(missing: Bounded) -> Phrase | None:
    """Say that coolant is missing, or is more, beyond the interval; None where it is within."""
    if missing.lower95 > 0:
        return Phrase(
            MISSING,
            "Cold again at least {0} are missing: air that was bound before, or a leak. Dry paper to every joint; if "
            "dry, top up and soak again.",
            (_volume(missing.lower95),),
        )
    if missing.upper95 < 0:
        return Phrase(
            "more_when_cold",
            "Cold again there are at least {0} more than before: bubbles in the loop push the level up. Bleed, then "
            "look again.",
            (_volume(-missing.upper95),),
        )
    return None


def _volume(m3: float) -> Amount:
    return Amount(Quantity.VOLUME, round(m3, 7))  # tenths of a millilitre


def heat_not_confirmed(heat_w: float, u_heat_w: float) -> Phrase:
    """Say that two sensors a few tenths apart confirm no heat."""
    return Phrase(
        "heat_hardly_known",
        "The heat of {0} is known to {1} only: both sensors read nearly the same; compare them at no load, or slow the "
        "flow.",
        (Amount(Quantity.POWER, round(heat_w)), Amount(Quantity.POWER, round(2 * u_heat_w))),
    )
