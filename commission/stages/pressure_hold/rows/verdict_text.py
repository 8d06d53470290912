"""A hold's verdict as plain lines, one fact a line, for eyes, screen readers and scripts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.shell.console import ascii_only
from commission.shell.shown import shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from commission.stages.pressure_hold.model import HoldVerdict


def reasons_of(verdict: HoldVerdict) -> tuple[str, ...]:
    """Return the reasons of a verdict as sentences, in signs that standard output has."""
    from commission.units.show import say

    return tuple(say(reason, ascii_only=ascii_only()) for reason in verdict.reasons)


def verdict_lines(verdict: HoldVerdict, *, about: Iterable[str] = (), assumed: Iterable[str] = ()) -> Iterator[str]:
    """Yield the lines of a verdict: the word first, then what it is about, the reasons, the figures.

    Parameters
    ----------
    verdict
        The verdict.
    about
        Lines that follow the word, such as the file's name.
    assumed
        What had to be assumed, each as a sentence.
    """
    yield f"verdict: {verdict.outcome}"
    yield from about
    for reason in reasons_of(verdict):
        yield f"reason: {reason}"
    yield from _figures(verdict)
    for sentence in assumed:
        yield f"assumed: {sentence}"
    yield from _comparison(verdict)


def _figures(verdict: HoldVerdict) -> Iterator[str]:
    from commission.units.show import show_level

    celsius = shown(verdict.reference_k, Quantity.TEMPERATURE)
    if verdict.leak_rate is not None:
        rate = verdict.leak_rate
        mean = ", mean over the hold" if verdict.late is not None else ""
        yield f"leak rate: {shown(rate.value, Quantity.LEAK_RATE)} at {celsius} and the pressure of the start{mean}"
        level = show_level(rate.level)
        yield f"leak rate at least: {shown(rate.at_least, Quantity.LEAK_RATE)} (one-sided, at least {level})"
        yield f"leak rate at most: {shown(rate.at_most, Quantity.LEAK_RATE)} (one-sided, at least {level})"
    yield from _end(verdict)
    yield f"limit: {shown(verdict.limit_pa_m3_s, Quantity.LEAK_RATE)}"
    if verdict.start_gauge_pa is not None:
        yield f"start pressure: {shown(verdict.start_gauge_pa, Quantity.GAUGE_PRESSURE)} gauge"
    if verdict.drop_pa is not None:
        yield f"pressure lost: {shown(verdict.drop_pa, Quantity.PRESSURE_DIFFERENCE)} (compensated, at {celsius})"
    yield f"judged: {shown(verdict.duration_s, Quantity.DURATION)}, {verdict.readings} readings"
    yield f"settling left out: {shown(verdict.settling_s, Quantity.DURATION)}"
    if verdict.smallest_detectable is not None:
        yield f"smallest leak this finds: {shown(verdict.smallest_detectable, Quantity.LEAK_RATE)}"
    if verdict.hold_needed_s is not None:
        yield f"hold needed to decide: {shown(verdict.hold_needed_s, Quantity.DURATION)}"


def _end(verdict: HoldVerdict) -> Iterator[str]:
    """Tell when it began to fall faster, or within which time that would not be seen."""
    if (late := verdict.late) is not None:
        at, first, last = (shown(s, Quantity.DURATION) for s in (late.onset_s, late.onset_from_s, late.onset_to_s))
        yield f"fell faster from: {at} ({first} to {last})"
        yield f"leak rate from then on: {shown(late.rate_pa_m3_s, Quantity.LEAK_RATE)}"
        if late.at_least_pa_m3_s > 0:
            yield f"leak rate from then on at least: {shown(late.at_least_pa_m3_s, Quantity.LEAK_RATE)}"
    elif verdict.blind_s is not None:
        yield f"blind for a late start: the last {shown(verdict.blind_s, Quantity.DURATION)}"


def _comparison(verdict: HoldVerdict) -> Iterator[str]:
    from commission.units.show import say

    for rule in verdict.plain_rules:
        yield f"for comparison only, {rule.name}: {rule.outcome}. {say(rule.why, ascii_only=ascii_only())}"
