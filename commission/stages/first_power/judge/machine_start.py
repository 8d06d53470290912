"""Whether the whole machine may stay on: the pump turns within seconds, or power goes off at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.verdict import Outcome
from commission.record.machine.seats import FAST_PLATE, SLOW_PLATE, SLOWEST_PUMP_RPM
from commission.stages.first_power.model.machine_start import MachineVerdict, PumpSign
from commission.units.show import show

if TYPE_CHECKING:
    from commission.stages.first_power.model.machine_start import MachineStart

PUMP_WITHIN_S = 5.0
"""Time after power-on within which the pump must turn [s]; our choice: one that takes longer cannot be told from one
that stands, and the processor warms."""
HOT_K = 363.15
"""Processor temperature in the firmware above which power goes off [K] (90 °C); our choice: below the 95 to 105 °C at
which processors throttle by themselves (from memory)."""
COLDEST_K = 253.15
"""Processor temperature below which it was mistyped [K] (-20 °C); our choice: colder than any place of work."""


def evaluate_machine_start(
    start: MachineStart,
    *,
    pump_within_s: float = PUMP_WITHIN_S,
    hot_k: float = HOT_K,
    pump_doubt: Phrase | None = None,
    plate_rpm: float | None = None,
    pumps: int = 1,
) -> MachineVerdict:
    """Judge the first start of the whole machine.

    Parameters
    ----------
    pump_within_s
        Time within which the pump must turn, above 0 [s].
    hot_k
        Temperature above which power goes off [K].
    pump_doubt
        What is not known of where the pump is plugged [words]; None where all is.
    plate_rpm
        Highest speed that the pump's maker states [rpm]; None where not known.
    pumps
        How many pumps are written down [1].

    Returns
    -------
    MachineVerdict
        Outcome, and whether power must go off at once [yes or no].

    Raises
    ------
    ValueError
        If the time is not above 0, or what was seen cannot be.

    Notes
    -----
    No sign of the pump within the time is a fail and a power-off. Where its tach is not connected a missing speed
    proves nothing, so the outcome is inconclusive, and power goes off all the same until somebody sees coolant move. It
    is inconclusive as well where no pump is written down: no rule then guards what it hangs on; where the pump is far
    below its nameplate, since it should run at full speed then, or above it; and where several are written down and
    only one was seen.

    Examples
    --------
    >>> from commission.stages.first_power.model.machine_start import MachineStart
    >>> verdict = evaluate_machine_start(MachineStart(sign=PumpSign.NONE, after_s=None, tach_connected=True))
    >>> str(verdict.outcome), verdict.power_off
    ('fail', True)
    """
    if not pump_within_s > 0:
        raise ValueError("the time must be above 0")
    if start.after_s is not None and start.after_s < 0:
        raise ValueError(f"a pump that turned after {start.after_s:g} s cannot be; type the time since power-on")
    if start.processor_k is not None and start.processor_k < COLDEST_K:
        read = show(start.processor_k, Quantity.TEMPERATURE, digits=3)
        raise ValueError(f"a processor at {read} cannot be; type what the firmware shows")
    barred = _pump(start, pump_within_s)
    if barred is not None:
        return barred
    if start.processor_k is not None and start.processor_k > hot_k:
        said = "The processor shows {0}, above {1}: power off; look at its block."
        amounts = tuple(Amount(Quantity.TEMPERATURE, kelvin) for kelvin in (start.processor_k, hot_k))
        return MachineVerdict(outcome=Outcome.FAIL, power_off=True, reasons=(Phrase("too_hot", said, amounts),))
    if start.headers_right is False:
        said = "A header shows the speed of another chain than the one that is logged on it: correct the log."
        return MachineVerdict(outcome=Outcome.FAIL, power_off=False, reasons=(Phrase("headers_differ", said),))
    lacks = [
        what
        for what, value in (
            ("each header's speed in the firmware", start.headers_right),
            ("the processor's temperature", start.processor_k),
        )
        if value is None
    ]
    open_ = [Phrase("looks_missing", f"Still to look at: {', '.join(lacks)}.")] if lacks else []
    several = None if pumps < 2 or start.all_pumps else _several(pumps)
    open_ += [doubt for doubt in (pump_doubt, several, _off_plate(start.pump_rpm, plate_rpm)) if doubt is not None]
    if open_:
        return MachineVerdict(outcome=Outcome.INCONCLUSIVE, power_off=False, reasons=tuple(open_))
    turned = Phrase("pump_turned", f"The pump turned after {start.after_s or 0:g} s ({start.sign}).")
    return MachineVerdict(outcome=Outcome.PASS, power_off=False, reasons=(turned,))


def _several(pumps: int) -> Phrase:
    """Say that the sign of one pump is none of the others."""
    said = f"{pumps} pumps are written down, and the sign is that of one: look at each, then type all if each turns."
    return Phrase("pumps_unseen", said)


def _off_plate(rpm: float | None, plate_rpm: float | None) -> Phrase | None:
    """Say that the pump is far slower or quicker than its maker states; None where it is not, or nobody knows."""
    if not rpm or not plate_rpm or SLOW_PLATE * plate_rpm <= rpm <= FAST_PLATE * plate_rpm:
        return None
    if rpm > FAST_PLATE * plate_rpm:
        said = (
            f"The pump shows {rpm:.0f} rpm, {rpm / plate_rpm:.2f} of the nameplate's {plate_rpm:.0f} rpm: none turns "
            "so. Type the speed again, or set the pulses of its tach."
        )
        return Phrase("pump_fast", said)
    said = (
        f"The pump shows {rpm:.0f} rpm, {rpm / plate_rpm:.2f} of the nameplate's {plate_rpm:.0f} rpm: something holds "
        "it back, or the speed is not its own. Set it to full speed, then type the speed again."
    )
    return Phrase("pump_slow", said)


def _pump(start: MachineStart, pump_within_s: float) -> MachineVerdict | None:
    """Return the verdict where the pump did not turn in time; None where it did."""
    off = "" if start.powered_off else " Power off at once."
    # a tach that shows as good as nothing outweighs every other sign
    stands = start.pump_rpm is not None and start.pump_rpm < SLOWEST_PUMP_RPM
    if start.tach_connected is False and (start.sign is PumpSign.SPEED or stands):
        said = f"A speed is told, and no tach that could show it is connected: look for moving coolant.{off}"
        reason = Phrase("speed_without_tach", said)
        return MachineVerdict(outcome=Outcome.INCONCLUSIVE, power_off=not start.powered_off, reasons=(reason,))
    silent = stands or start.sign in (PumpSign.NONE, PumpSign.NOT_LOOKED) or start.after_s is None
    if not silent and start.after_s is not None and start.after_s <= pump_within_s:
        return None
    if start.sign is PumpSign.NOT_LOOKED:
        said = f"Nobody looked whether the pump turns.{off}"
        outcome, code = Outcome.INCONCLUSIVE, "pump_not_looked"
    elif silent and start.tach_connected is not True:
        said = f"There is no sign of the pump, and no tach that would show it: look for moving coolant.{off}"
        outcome, code = Outcome.INCONCLUSIVE, "pump_unseen"
    elif silent:
        said = f"The pump did not turn within {pump_within_s:g} s.{off}"
        outcome, code = Outcome.FAIL, "pump_stands"
    else:
        said = f"The pump turned only after {start.after_s:g} s; {pump_within_s:g} s are allowed.{off}"
        outcome, code = Outcome.FAIL, "pump_late"
    return MachineVerdict(outcome=outcome, power_off=not start.powered_off, reasons=(Phrase(code, said),))
