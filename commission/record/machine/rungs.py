"""The four rungs on which a machine comes under power: what each shows, and which of them waits for what."""

from collections.abc import Mapping
from enum import StrEnum

from commission.base.frozen import Frozen, field, replace
from commission.base.quantity import Phrase
from commission.base.verdict import Outcome
from commission.record.machine.change import Change

NEVER_OVERRIDDEN = frozenset({"hold_not_passed", "not_filled", "bleed_failed", "not_repaired"})
"""Locks that no reason opens: under power a dry or leaking loop loses its pump, or the machine."""


class Rung(StrEnum):
    """One rung of the ladder."""

    CABLES = "cables unplugged"
    SUPPLY = "supply alone"
    PUMP = "pump only"
    MACHINE = "whole machine"


class Rungs(Frozen):
    """What each rung shows, as far as nothing took it away since; whoever asks need not know how it was judged."""

    shown: Mapping[Rung, Outcome | None] = field(default_factory=dict)
    """Outcome of each rung; None, or not there, where it was not climbed."""
    pump_runs: bool = False
    """Whether by the record the pump runs alone now, under its leak watch."""
    joints: tuple[str, ...] = ()
    """The joints that the last leak watch named."""
    fed_by: tuple[str, ...] = ()
    """Names of the supply, and of its cables that were made by hand."""

    def after(self, change: Change) -> "Rungs":
        """Return what still holds after a change of the loop: cables and voltages do, pump and machine do not.

        With a fault or air in its loop a pump that runs as logged still runs. A pump that is plugged elsewhere takes
        the machine alone: nobody saw it turn there.
        """
        if change is Change.PUMP_SEAT:
            return replace(self, shown={**self.shown, Rung.MACHINE: None})
        if change not in (Change.AT_FAULT, Change.AIR_LEFT, Change.LEAKED, Change.ANOTHER_LOOP):
            return self
        runs = self.pump_runs and change is not Change.ANOTHER_LOOP
        return replace(self, shown={**self.shown, Rung.PUMP: None, Rung.MACHINE: None}, pump_runs=runs)


def rung_locked(
    rung: Rung,
    outcomes: Mapping[Rung, Outcome | None],
    *,
    hold_passed: bool,
    filled: bool,
    bleed_failed: bool = False,
    hurt: Phrase | None = None,
) -> Phrase | None:
    """Return why a rung may not be climbed yet.

    Parameters
    ----------
    outcomes
        Outcome of each rung so far; None where it was not climbed [words].
    hold_passed
        Whether the pressure hold passed and still counts [yes or no].
    filled
        Whether the fill is signed off and still counts [yes or no].
    bleed_failed
        Whether a bleed failed and none passed since [yes or no].
    hurt
        What hurt the electronics and was not repaired yet; None where nothing did [words].

    Returns
    -------
    Phrase or None
        Why it is locked; None where it may be climbed [words].

    Notes
    -----
    Each rung rests on all below it. The pump's rung also rests on a hold that passed and a fill that is signed off, and
    waits while a bleed that failed is the last word on it; these locks are never overridden.

    Examples
    --------
    >>> below = {Rung.CABLES: Outcome.PASS, Rung.SUPPLY: Outcome.PASS}
    >>> rung_locked(Rung.PUMP, below, hold_passed=True, filled=False).code
    'not_filled'
    """
    if hurt is not None and rung is not Rung.CABLES:  # a cable is measured without power
        return hurt
    if rung in (Rung.PUMP, Rung.MACHINE):
        if not hold_passed:
            said = "The pressure hold has not passed: coolant must not meet power before the loop is proven tight."
            return Phrase("hold_not_passed", said)
        if not filled:
            return Phrase(
                "not_filled", "The loop is not filled, or its fill no longer counts: dry, the pump is soon ruined."
            )
        if bleed_failed:
            said = "The bleed failed: air is in the loop, or coolant runs out of it. Bleed until it passes."
            return Phrase("bleed_failed", said)
    ladder = list(Rung)
    for below in ladder[: ladder.index(rung)]:
        if outcomes.get(below) is not Outcome.PASS:
            word = outcomes.get(below) or "not done"
            return Phrase("rung_below", f'It rests on "{below}", which is {word}.')
    return None
