"""The verdict of a bleed: do the last cycles keep to the rule, what is still to come, and what warming will bring."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase
from commission.base.verdict import Outcome
from commission.physics.dissolved_air import LOWEST_K, air_released
from commission.physics.water import HIGHEST_K, saturation_pressure
from commission.record.machine.noise import Noise
from commission.stages.bleed.judge import reasons as bleed_reasons
from commission.stages.bleed.judge import remarks as bleed_remarks
from commission.stages.bleed.judge.drip import even_drip
from commission.stages.bleed.judge.tail import remaining_air
from commission.stages.bleed.model import (
    TILTS,
    UPRIGHT,
    AirTail,
    BleedLoop,
    BleedPicture,
    BleedRule,
    BleedVerdict,
    Bubbles,
    PumpState,
    TailState,
    TimedCycle,
)

DRAWN_AHEAD = 3
"""Cycles that the fitted tail is drawn beyond the last [1]; our choice: the curve shows where it goes without
promising more."""
LEAST_RUN_S = 60.0
"""Shortest run of the pump that counts in a cycle [s]; our choice: at 1 L/min a loop of a litre goes round once."""
MOST_REASONS = 6
"""Reasons shown at most [1]; our choice: more are not read at a bench."""


class _Window(Frozen):
    """The last cycles in a row that keep to the rule, and what stopped the count."""

    row: tuple[TimedCycle, ...]
    """In order of time; a rest is none of them."""
    covered_s: float
    stopped_by: Phrase | None
    """Why the cycle before them does not keep to it; None where there is none before."""
    proven: bool
    """Whether that cycle breaks the rule for sure, and not only as far as can be read."""

    @property
    def kept(self) -> int:
        """How many they are."""
        return len(self.row)


def evaluate_bleed(
    cycles: Sequence[TimedCycle],
    rule: BleedRule,
    loop: BleedLoop | None = None,
    *,
    running: bool = False,
    amiss: Phrase | None = None,
    restart: tuple[int, Phrase] | None = None,
) -> BleedVerdict:
    """Judge a bleed.

    Parameters
    ----------
    cycles
        Cycles in order of time [records].
    loop
        What is known of the loop, for the dissolved air; None leaves that out [SI].
    running
        Whether bleeding goes on [true or false].
    amiss
        What the balance of the coolant says against a running pump; None where nothing [words].
    restart
        Number of the last entry behind which the row begins again, and why; None where there is none [records].

    Returns
    -------
    BleedVerdict
        Outcome, air still to come, air that the first warming brings, and the reasons [SI].

    Raises
    ------
    ValueError
        If the rule asks for no cycle, a negative time, or a top-up that is not above 0.

    Notes
    -----
    Pass if the last cycles, as many and over as long as the rule asks, each ran the pump for a minute or more, took no
    more than the limit even if the reading is off by its resolution, and ended quiet and without bubbles. Time before
    the bleed began, or before the cycle ahead of them was looked at, does not count, however long a run is said to be.
    Fail, once bleeding ended, if the last cycle breaks the rule for sure, the amounts do not converge, or the balance
    of the coolant is amiss: what took the place of air may have run out of the loop. What the last cycles took in all
    must not look like a drip, however the case was tilted, and the last ran in no tilted position (our choice: air that
    lies still in a tilted case moves once it stands). Otherwise inconclusive: never a verdict on fewer cycles than
    the rule needs. Amounts are compared within one position of the case; tilting starts again.

    Source: the rule is the procedure's (our choice there); ``bleed_tail`` and ``physics.dissolved_air``.

    Examples
    --------
    >>> from commission.stages.bleed.model import BleedCycle, GoneBy
    >>> def cycle(n, ml):
    ...     done = BleedCycle(pump=PumpState.RUNNING, run_s=1800, tilt="upright", gone_m3=ml * 1e-6,
    ...         resolution_m3=1e-6, gone_by=GoneBy.TOP_UP, bubbles=Bubbles.NONE, noise=Noise.QUIET)
    ...     return TimedCycle(seq=n, elapsed_s=1800.0 * n, cycle=done)
    >>> rule = BleedRule(last_cycles=3, span_s=3600, top_up_m3=2e-6)
    >>> str(evaluate_bleed([cycle(n, ml) for n, ml in enumerate((40, 12, 0.5, 0, 0), 1)], rule).outcome)
    'pass'
    >>> str(evaluate_bleed([cycle(1, 0.5), cycle(2, 0)], rule).outcome)
    'inconclusive'
    """
    if rule.last_cycles < 1 or rule.span_s < 0 or not rule.top_up_m3 > 0:
        raise ValueError("the rule needs one cycle or more, a time of 0 or more and a top-up above 0")
    series = _series(cycles)
    tail = _tail(series)
    window = _window(cycles, rule, restart)
    outcome, why = _decide(cycles, rule, tail, window, running)
    if cycles and amiss is not None:
        open_ = running or amiss.code == "amount_unknown"  # which proves nothing either way
        outcome, why = Outcome.INCONCLUSIVE if open_ else Outcome.FAIL, amiss
    warming = _first_warming(loop)
    others = [
        bleed_remarks.tail_phrase(tail, len(series)),
        None if outcome is Outcome.PASS else window.stopped_by,
        bleed_reasons.as_it_stood(cycles[-1].cycle.tilt) if cycles and _place(cycles[-1]) not in TILTS else None,
        _fell_beside(cycles, rule),
        bleed_remarks.unequal_effort(series),
        None if warming is None or loop is None else bleed_remarks.dissolved_phrase(warming, loop.hot_k),
    ]
    reasons = list({said.code: said for said in (why, *others) if said is not None}.values())
    return BleedVerdict(
        outcome=outcome,
        tail=tail,
        came_out_m3=sum(timed.took_m3 for timed in cycles),
        cycles=len(cycles),
        kept=window.kept,
        covered_s=window.covered_s,
        rule=rule,
        first_warming_m3=warming,
        reasons=tuple(reasons[:MOST_REASONS]),
        picture=_picture(cycles, tail),
    )


def _fell_beside(cycles: Sequence[TimedCycle], rule: BleedRule) -> Phrase | None:
    """Return what the levels say beyond the cycles; None where it is no more than one cycle may take."""
    fell_m3 = sum(timed.fell_m3 for timed in cycles)
    return bleed_reasons.level_fell(fell_m3) if fell_m3 > rule.top_up_m3 else None


def _series(cycles: Sequence[TimedCycle]) -> list[TimedCycle]:
    """Return the cycles since the case was last tilted that ran the pump."""
    since: list[TimedCycle] = []
    for timed in reversed(cycles):
        if since and not _same_place(timed, since[0]):
            break
        since.insert(0, timed)
    return [timed for timed in since if timed.cycle.pump is not PumpState.STOPPED]


def _same_place(one: TimedCycle, other: TimedCycle) -> bool:
    return _place(one) == _place(other)


def _place(timed: TimedCycle) -> str:
    return " ".join(timed.cycle.tilt.casefold().split())


def _tail(series: Sequence[TimedCycle]) -> AirTail:
    resolution = max((timed.cycle.resolution_m3 for timed in series), default=0.0)
    return remaining_air([timed.took_m3 for timed in series], resolution)


def _window(cycles: Sequence[TimedCycle], rule: BleedRule, restart: tuple[int, Phrase] | None) -> _Window:
    """Count back from the last cycle while the rule is kept; a rest that took nothing neither counts nor ends it."""
    kept: list[TimedCycle] = []
    stopped, proven = None, False
    for timed in reversed(cycles):
        if restart is not None and timed.seq < restart[0]:
            stopped = restart[1]
            break
        if timed.cycle.pump is PumpState.STOPPED and timed.took_m3 + timed.cycle.resolution_m3 <= rule.top_up_m3:
            continue
        broken, short = _breaks(timed, rule), _falls_short(timed, rule)
        stopped, proven = broken or short, broken is not None
        if stopped is not None:
            break
        kept.append(timed)
    row = tuple(reversed(kept))
    return _Window(row=row, covered_s=_covered(cycles, row), stopped_by=stopped, proven=proven)


def _covered(cycles: Sequence[TimedCycle], kept: Sequence[TimedCycle]) -> float:
    """Return the time from the start of the first kept cycle to the end of the last [s].

    A run began after the cycle before it was looked at, however long it is said to be.
    """
    if not kept:
        return 0.0
    began = kept[0]
    before = max((each.elapsed_s for each in cycles[: cycles.index(began)]), default=0.0)
    return kept[-1].elapsed_s - max(before, began.elapsed_s - began.cycle.run_s)


def broke_the_rule(timed: TimedCycle, rule: BleedRule) -> bool:
    """Return whether a cycle breaks the rule for sure."""
    return _breaks(timed, rule) is not None


def _breaks(timed: TimedCycle, rule: BleedRule) -> Phrase | None:
    """Return why a cycle breaks the rule for sure; None if it does not."""
    cycle = timed.cycle
    if timed.took_m3 - cycle.resolution_m3 > rule.top_up_m3:
        if timed.fell_m3 > 0:
            return bleed_reasons.level_fell(timed.fell_m3)
        return bleed_reasons.too_much_came(cycle.gone_m3, rule.top_up_m3)
    if cycle.bubbles in (Bubbles.FEW, Bubbles.MANY):
        return bleed_reasons.BUBBLES_SEEN
    if cycle.noise in (Noise.GURGLING, Noise.RATTLING):
        return bleed_reasons.noise_heard(str(cycle.noise))
    if cycle.start_fall_m3 is not None and cycle.start_fall_m3 > cycle.resolution_m3:
        return bleed_reasons.level_breathes(cycle.start_fall_m3)
    return None


def _falls_short(timed: TimedCycle, rule: BleedRule) -> Phrase | None:
    """Return why a cycle does not show that it keeps to the rule; None if it does."""
    cycle = timed.cycle
    if cycle.pump is PumpState.STOPPED:
        return bleed_reasons.PUMP_STOOD
    if cycle.run_s < LEAST_RUN_S:
        return bleed_reasons.RAN_TOO_SHORT
    if timed.took_m3 + cycle.resolution_m3 > rule.top_up_m3:
        return bleed_reasons.too_coarse(timed.took_m3, cycle.resolution_m3, rule.top_up_m3)
    if cycle.bubbles is Bubbles.NOT_LOOKED:
        return bleed_reasons.NOBODY_LOOKED
    return bleed_reasons.NOBODY_LISTENED if cycle.noise is Noise.NOT_LISTENED else None


def _decide(
    cycles: Sequence[TimedCycle], rule: BleedRule, tail: AirTail, window: _Window, running: bool
) -> tuple[Outcome, Phrase]:
    """Return the outcome and the reason that decided."""
    if not cycles:
        return Outcome.INCONCLUSIVE if running else Outcome.INVALID, bleed_reasons.NO_CYCLE
    rose = next((t.cycle for t in cycles if t.cycle.gone_m3 < -t.cycle.resolution_m3), None)
    if rose is not None:
        return Outcome.INVALID, bleed_reasons.level_rose(-rose.gone_m3)
    if any(later.elapsed_s < sooner.elapsed_s for sooner, later in pairwise(cycles)):
        return Outcome.INVALID, bleed_reasons.OUT_OF_ORDER
    enough = window.kept >= rule.last_cycles and window.covered_s >= rule.span_s
    if tail.state is TailState.NOT_CONVERGING:
        return Outcome.INCONCLUSIVE if running else Outcome.FAIL, bleed_reasons.NOT_CONVERGING
    if enough:
        return _kept_long_enough(cycles, rule, window, running)
    if window.kept == 0 and window.proven and window.stopped_by is not None:
        return Outcome.INCONCLUSIVE if running else Outcome.FAIL, window.stopped_by
    if window.kept == 0 and window.stopped_by is not None:
        return Outcome.INCONCLUSIVE, window.stopped_by
    return Outcome.INCONCLUSIVE, bleed_reasons.more_needed(window.kept, window.covered_s, rule)


def _kept_long_enough(
    cycles: Sequence[TimedCycle], rule: BleedRule, window: _Window, running: bool
) -> tuple[Outcome, Phrase]:
    """Return what the kept cycles prove; for a drip what went during a rest between them counts as well."""
    since = cycles[cycles.index(window.row[0]) :]
    drip = even_drip(since, window.row[-1].elapsed_s - window.covered_s, rule.last_cycles)
    stood = _place(window.row[-1])
    if drip is None and stood in TILTS and stood != UPRIGHT:
        return Outcome.INCONCLUSIVE, bleed_reasons.left_tilted(stood)
    if drip is None:
        return Outcome.PASS, bleed_reasons.kept_to_rule(window.kept, window.covered_s, rule.top_up_m3)
    outcome = Outcome.FAIL if drip.proven and not running else Outcome.INCONCLUSIVE
    return outcome, bleed_reasons.even_as_a_drip(window.kept, window.covered_s, drip.total_m3)


def _first_warming(loop: BleedLoop | None) -> float | None:
    """Return the dissolved air that the first warming may bring [m3]; None where nothing published tells."""
    if loop is None or not LOWEST_K <= loop.fill_k <= loop.hot_k <= HIGHEST_K:
        return None
    if loop.liquid_m3 < 0 or loop.barometer_pa <= saturation_pressure(loop.hot_k):
        return None
    return air_released(loop.liquid_m3, loop.fill_k, loop.hot_k, from_pa=loop.barometer_pa, to_pa=loop.barometer_pa)


def _picture(cycles: Sequence[TimedCycle], tail: AirTail) -> BleedPicture | None:
    if not cycles:
        return None
    new = [index > 0 and not _same_place(timed, cycles[index - 1]) for index, timed in enumerate(cycles)]
    number, value = [], []
    if tail.ratio is not None and tail.best_m3 is not None and 0 < tail.ratio < 1:
        last = tail.best_m3 * (1 - tail.ratio) / tail.ratio
        for ahead in range(1 - tail.used, DRAWN_AHEAD + 1):
            number.append(float(len(cycles) + ahead))
            value.append(last * tail.ratio**ahead)
    return BleedPicture(
        number=tuple(range(1, len(cycles) + 1)),
        gone_m3=tuple(timed.took_m3 for timed in cycles),
        resolution_m3=tuple(timed.cycle.resolution_m3 for timed in cycles),
        new_series=tuple(new),
        tail_number=tuple(number),
        tail_m3=tuple(value),
    )
