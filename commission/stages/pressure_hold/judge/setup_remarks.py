"""What a verdict must say of the figures it was judged by: a limit that lets water out, a volume that no loop has."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.verdict import Outcome
from commission.stages.pressure_hold.judge.leak_class import WATERTIGHT_PA_M3_S, looser_than_watertight

if TYPE_CHECKING:
    from commission.stages.pressure_hold.model import HoldSetup, HoldVerdict

SMALLEST_LOOP_M3 = 50e-6
"""A volume below this is a slip [m3]; our choice: half a metre of tube of 10 mm bore holds 39 mL, and a pump, a block
and a radiator hold more than the rest."""


def with_setup(verdict: HoldVerdict, setup: HoldSetup) -> HoldVerdict:
    """Return a verdict that says what is odd in the figures it was judged by, right behind what decided.

    Parameters
    ----------
    verdict
        What the readings prove.
    setup
        What it was judged by [SI].

    Returns
    -------
    HoldVerdict
        The same outcome, with the remarks; but a pass by a volume that no loop has is invalid.

    Notes
    -----
    They stand beside the six reasons of the readings, for none of those may push them out.
    """
    if (small := _small(setup)) and verdict.outcome is Outcome.PASS:
        return replace(verdict, outcome=Outcome.INVALID, reasons=(*small, *_loose(setup), *verdict.reasons[1:]))
    said = _loose(setup) + small
    return replace(verdict, reasons=(*verdict.reasons[:1], *said, *verdict.reasons[1:])) if said else verdict


def _loose(setup: HoldSetup) -> list[Phrase]:
    if not looser_than_watertight(setup.limit_pa_m3_s):
        return []
    return [
        Phrase(
            "limit_looser_than_watertight",
            "The limit {0} is looser than watertight ({1}): within it a loop may let water out.",
            (Amount(Quantity.LEAK_RATE, setup.limit_pa_m3_s), Amount(Quantity.LEAK_RATE, WATERTIGHT_PA_M3_S)),
        )
    ]


def _small(setup: HoldSetup) -> list[Phrase]:
    if setup.volume_m3 >= SMALLEST_LOOP_M3:
        return []
    return [
        Phrase(
            "volume_below_any_loop",
            "No loop is as small as {0}: check the volume and its unit. A volume that is too small makes every leak "
            "look small.",
            (Amount(Quantity.VOLUME, setup.volume_m3),),
        )
    ]
