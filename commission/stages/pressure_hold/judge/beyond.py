"""What a verdict must say that no reading shows: source, set-up, what was done between, a pump's pressure."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.text import braced, clip
from commission.base.verdict import Outcome
from commission.physics.gas import STANDARD_ATMOSPHERE_PA, absolute_pressure
from commission.physics.leak import rescale_viscous
from commission.stages.pressure_hold.entries import SourceOff
from commission.stages.pressure_hold.judge.leak_class import PUMP_PA, WATERTIGHT_PA_M3_S, looser_than_watertight
from commission.stages.pressure_hold.judge.note_words import barring
from commission.stages.pressure_hold.model import HoldVerdict

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.stages.pressure_hold.model import HoldSetup, HoldVerdict

VALVE_ONLY = Phrase(
    "source_valve_only",
    "Source valve only: a valve that seeps in hides a leak. Take the hose off and hold again.",
)

NOT_SAID = Phrase(
    "source_not_said",
    "How the source was off is not said: one that seeps in hides a leak. Say it, such as # source: hose off.",
)


PUMP_LEFT = Phrase(
    "source_pump_left_on",
    "The pump stayed on, with no valve between: a leak of pump or hose counts as the loop's.",
)


def with_source(
    verdict: HoldVerdict, source: SourceOff | None, left_out: Sequence[str] = (), *, asked: bool = False
) -> HoldVerdict:
    """Return a verdict with what the readings cannot know.

    Parameters
    ----------
    source
        How the source was kept from feeding the loop; None where nobody said.
    left_out
        Names of the parts that no pressure reached.
    asked
        Whether it was asked, so that it must have been said.

    Returns
    -------
    HoldVerdict
        With a shut valve and pressure behind it a pass becomes inconclusive: what seeps in through the valve makes up
        for what leaks out, and no reading of the loop can tell. A hand pump that is left on has nothing behind it, and
        its leaks are told as the loop's. Anything else stands, for seeping in only hides a leak. Where nobody said, a
        pass says so, and is none where it was asked. Parts that were left out are named behind the reason that decided.
    """
    if left_out:
        untested = Phrase("parts_not_tested", f"Not tested: {braced(', '.join(left_out))}. Nothing is proved of it.")
        verdict = verdict.telling(untested)
    if source is None and verdict.outcome is Outcome.PASS:
        verdict = verdict.undecided(NOT_SAID) if asked else verdict.telling(NOT_SAID)
    if source is SourceOff.PUMP_LEFT:
        verdict = verdict.telling(PUMP_LEFT)
    if source is not SourceOff.VALVE_ONLY:
        return verdict
    return verdict.undecided(VALVE_ONLY) if verdict.outcome is Outcome.PASS else verdict.telling(VALVE_ONLY)


SMALLEST_LOOP_M3 = 50e-6
"""A volume below this is a slip [m3]; our choice: half a metre of tube of 10 mm bore holds 39 mL, and a pump, a block
and a radiator hold more than the rest."""


def with_setup(verdict: HoldVerdict, setup: HoldSetup) -> HoldVerdict:
    """Return a verdict that says what is odd in the figures it was judged by, right behind what decided.

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
    return verdict.telling(*said) if said else verdict


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


MOST_GAP = 2 / 3
"""Share of a hold in which nothing need be read [1]; our choice: one reading in its middle third shows the course; at
its ends alone it shows no more than two readings."""
FEWEST_TO_PASS = 3
"""Readings that a pass needs [1]; our choice: of two, nobody sees whether the pressure fell and was pumped up again."""
TOLD_NOTES = 2
"""So many notes are told beside a pass [1]; our choice: they stand in the log in full."""


def with_between(
    verdict: HoldVerdict,
    notes: Sequence[tuple[float, str]],
    read_s: Sequence[float],
    *,
    source: SourceOff | None = None,
) -> HoldVerdict:
    """Return a verdict that is no pass by two readings, over a long gap, or where a note says that it was worked at.

    Other notes are told beside a pass.

    Parameters
    ----------
    notes
        When something was noted [s], and what, in order.
    read_s
        When it was read, in order [s]: what was noted by the first reading is how the hold began.
    source
        How the source was off: a pump that is part of the loop may be on.

    Returns
    -------
    HoldVerdict
        Anything but a pass stands as it is.
    """
    if verdict.outcome is Outcome.PASS and verdict.readings < FEWEST_TO_PASS:
        few = Phrase(
            "too_few_to_pass",
            "Two readings do not show what happened between them. Hold again, and read at least once in between.",
        )
        return verdict.undecided(few)
    if verdict.outcome is Outcome.PASS and (gap := _gap(read_s)) is not None:
        return verdict.undecided(gap)
    first_s = read_s[0] if read_s else 0.0
    noted = [(at, text) for at, text in notes if at > first_s and text.strip()]
    if verdict.outcome is not Outcome.PASS or not noted:
        return verdict
    for pattern, code, then in barring(source):
        found = next(((at, text) for at, text in noted if pattern.search(text)), None)
        if found is not None:
            return verdict.undecided(_told(*found, code, then))
    told = [_told(at, text, "noted", "") for at, text in noted[-TOLD_NOTES:]]
    return verdict.telling(*told)


def _gap(read_s: Sequence[float]) -> Phrase | None:
    """Return that nothing was read in most of the time; None where it was."""
    longest_s = max((later - sooner for sooner, later in pairwise(read_s)), default=0.0)
    if not read_s or longest_s <= MOST_GAP * (read_s[-1] - read_s[0]):
        return None
    said = "Nothing was read for {0} of {1}: what happened then is not known. Hold again, and read in between."
    times = tuple(Amount(Quantity.DURATION, round(one)) for one in (longest_s, read_s[-1] - read_s[0]))
    return Phrase("gap_in_the_hold", said, times)


def _told(at_s: float, text: str, code: str, then: str) -> Phrase:
    noted = braced(clip(text))
    return Phrase(code, f"Noted at {{0}}: {noted}.{then}", (Amount(Quantity.DURATION, at_s),))


def limit_in_test(limit_pa_m3_s: float, start_gauge_pa: float) -> float:
    """Return the largest leak rate in a test by which a loop keeps its limit at a pump's pressure too.

    Parameters
    ----------
    limit_pa_m3_s
        The limit, at the test pressure or at a pump's, whichever is higher [Pa·m3/s].
    start_gauge_pa
        Pressure at the start of the test, above 0 [Pa gauge].

    Returns
    -------
    float
        The limit itself from a pump's pressure on, less below it [Pa·m3/s].

    Raises
    ------
    ValueError
        If a value is not finite, or the pressure is not above 0.

    Notes
    -----
    Our choice, for the names of the limits speak of water at that pressure. Whoever has parts too weak for it can hold
    longer.

    Examples
    --------
    By hand: (1063.25² − 1013.25²)/(1213.25² − 1013.25²) = 0.2332, with 50 and 200 mbar gauge.

    >>> round(limit_in_test(1.0, 5000), 4), limit_in_test(1.0, 20_000), limit_in_test(1.0, 50_000)
    (0.2332, 1.0, 1.0)
    """
    if start_gauge_pa >= PUMP_PA:
        return limit_pa_m3_s
    return limit_pa_m3_s / _growth(start_gauge_pa)


def _growth(start_gauge_pa: float) -> float:
    """Return how many times more a hole lets through at a pump's pressure."""
    outside = STANDARD_ATMOSPHERE_PA
    return rescale_viscous(
        1.0,
        from_pa=absolute_pressure(start_gauge_pa, outside),
        from_outside_pa=outside,
        to_pa=absolute_pressure(PUMP_PA, outside),
        to_outside_pa=outside,
    )


def with_pump_pressure(verdict: HoldVerdict) -> HoldVerdict:
    """Return a verdict that says what a pass below a pump's pressure proves of it; it passes only if that is enough.

    Parameters
    ----------
    verdict
        What the readings prove at their own pressure.

    Returns
    -------
    HoldVerdict
        The same from a pump's pressure on.

    Raises
    ------
    ValueError
        If the start pressure is not above 0.
    """
    start, found = verdict.start_gauge_pa, verdict.leak_rate
    if verdict.outcome is not Outcome.PASS or found is None or start is None or start >= PUMP_PA:
        return verdict
    most, limit = found.at_most * _growth(start), verdict.limit_pa_m3_s
    amounts = (
        Amount(Quantity.GAUGE_PRESSURE, start),
        Amount(Quantity.GAUGE_PRESSURE, PUMP_PA),
        Amount(Quantity.LEAK_RATE, most),
    )
    if most <= limit:
        told = Phrase("below_pump_pressure", "Held at {0}. At the {1} of a pump it leaks at most {2}.", amounts)
        return verdict.telling(told)
    low = Phrase(
        "too_low_for_the_pump",
        ("Held at {0}. At the {1} of a pump it may leak {2}, above the limit. Pump up to {1}, or hold longer."),
        amounts,
    )
    return verdict.undecided(low)
