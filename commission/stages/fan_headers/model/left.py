"""What stands against the duty and the speed that a chain was left at, by its sweep and its nameplate."""

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase
from commission.record.machine.seats import FAST_PLATE, SLOW_PLATE, Chain
from commission.stages.fan_headers.model.duties import DutyLeft
from commission.stages.fan_headers.model.sweep import FULL_PCT, Sweep, SweepVerdict, SweepWord

SPEED_WITHIN = 0.25
"""A speed that differs from the sweep's by no more of it is its own [1]; our choice: dust, warmth and a straight line
between two levels move it by less, a blocked, another or an unplugged fan by more."""
SPEED_WITHIN_RPM = 60.0
"""Nor by so much [rpm]; our choice: one pulse more or less in a second is 30 rpm, and two may be missed."""


class Objection(Frozen):
    """What stands against how a chain was left."""

    phrase: Phrase
    """What, in a sentence."""
    may_be: bool = True
    """Whether fans may be let be with a reason; a speed that contradicts a sweep is no matter of reasons."""


def against_left(chain: Chain, sweep: Sweep | None, verdict: SweepVerdict | None, left: DutyLeft) -> Objection | None:
    """Return what stands against how a chain was left; None where nothing does.

    Parameters
    ----------
    sweep, verdict
        Its sweep that counts; None where there is none.
    """
    if not chain.pump and left.rpm == 0:
        said = f"{chain.name} is left at {left.duty_pct:g} % and stands still there."
        return Objection(phrase=Phrase("left_standing", said))
    duty = against_duty(chain, verdict, left.duty_pct)
    if duty is not None:
        return Objection(phrase=duty)
    speed = _against_speed(chain, sweep, left)
    return None if speed is None else Objection(phrase=speed, may_be=False)


def against_duty(chain: Chain, verdict: SweepVerdict | None, duty_pct: float) -> Phrase | None:
    """Return what stands against leaving a chain at a duty [%]; None where nothing does.

    At full speed there is none: a header that ignores control, or inverts it, does no harm there. For a pump the
    objection cannot be let be; for fans it can, with a reason.

    Examples
    --------
    >>> from commission.record.machine.seats import Device, Drive
    >>> fan = Device(name="fan", wires=4, steady_ma=200)
    >>> against_duty(Chain(chain_id="c", name="top", devices=(fan,), drive=Drive.PWM), None, 40.0) is None
    True
    """
    if verdict is None or duty_pct >= FULL_PCT:
        return None
    if verdict.word in (SweepWord.IGNORES, SweepWord.INVERTED):
        said = f"{chain.name} is left at {duty_pct:g} % on a header whose sweep says: {verdict.said}."
        return Phrase("duty_without_control", said)
    least = verdict.stops.minimum_pct
    if least is not None and duty_pct < least:
        said = f"{chain.name} is left at {duty_pct:g} %, below the {least:g} % that its sweep advised: "
        said += "it may not start again."
        return Phrase("duty_below_advised", said)
    return None


def _against_speed(chain: Chain, sweep: Sweep | None, left: DutyLeft) -> Phrase | None:
    if left.rpm is None:
        return None
    swept = None if sweep is None else _swept_rpm(sweep, left.duty_pct)
    if swept is not None and abs(left.rpm - swept) > max(SPEED_WITHIN * swept, SPEED_WITHIN_RPM):
        said = (
            f"{chain.name} shows {left.rpm:g} rpm at {left.duty_pct:g} %, and its sweep showed {swept:.0f} there: look "
            "for what holds it back, or for another fan or header."
        )
        return Phrase("speed_not_its_own", said)
    plate = min((one.nameplate_rpm for one in chain.devices if one.nameplate_rpm), default=None)
    if plate and left.rpm > FAST_PLATE * plate:
        said = f"{chain.name} shows {left.rpm:g} rpm, above its nameplate's {plate:g} rpm: correct it, or its tach."
        return Phrase("speed_above_plate", said)
    if chain.pump and plate and left.duty_pct >= FULL_PCT and left.rpm < SLOW_PLATE * plate:
        said = f"{chain.name} shows {left.rpm:g} rpm at full duty, far below its nameplate's {plate:g} rpm: look why."
        return Phrase("speed_below_plate", said)
    return None


def _swept_rpm(sweep: Sweep, duty_pct: float) -> float | None:
    """Return the speed of a sweep at a duty, between its levels by a straight line [rpm]; None outside of them."""
    from statistics import median

    speeds: dict[float, list[float]] = {}
    for one in sweep.readings:
        if one.rpm is not None:
            speeds.setdefault(one.duty_pct, []).append(one.rpm)
    below = max((duty for duty in speeds if duty <= duty_pct), default=None)
    above = min((duty for duty in speeds if duty >= duty_pct), default=None)
    if below is None or above is None:
        return None
    low, high = median(speeds[below]), median(speeds[above])
    return low if above == below else low + (high - low) * (duty_pct - below) / (above - below)
