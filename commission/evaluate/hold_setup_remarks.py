"""What a verdict must say of the figures it was judged by: a limit that lets water out, a volume that no loop has."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from commission.domain.leak_class import WATERTIGHT_PA_M3_S, looser_than_watertight
from commission.domain.quantity import Amount, Phrase, Quantity

if TYPE_CHECKING:
    from commission.domain.hold import HoldSetup, HoldVerdict


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
        The same outcome, with the remarks.

    Notes
    -----
    They stand beside the six reasons of the readings, for none of those may push them out.
    """
    said = _loose(setup)
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
