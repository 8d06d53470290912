"""Whether every joint stayed dry while the pump ran alone: the verdict on a wet watch."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.text import braced, counted
from commission.base.verdict import Outcome
from commission.record.machine.joints import Paper
from commission.record.machine.noise import Noise
from commission.stages.first_power.model.wet_watch import LevelLook, WetVerdict

if TYPE_CHECKING:
    from commission.stages.first_power.model.wet_watch import WetLook, WetRule, WetWatch

SPREAD = 0.5
"""Share of their even spacing within which looks count once [1]; our choice: half the spacing still spreads the looks
over the whole watch."""

UNWATCHED_S = 600.0
"""The pump may run on so long behind the last look unsaid [s]; our choice: one round of looks and the walk to the
switch take minutes."""


def evaluate_wet_watch(watch: WetWatch, rule: WetRule) -> WetVerdict:
    """Judge a wet watch.

    Returns
    -------
    WetVerdict
        Outcome, joints that still need a look, and when [s].

    Raises
    ------
    ValueError
        If the rule asks for no look or no time.

    Notes
    -----
    FAIL at the first wet paper, or where a joint was damp twice: coolant does not come from nowhere. A joint that was
    damp once is wiped and looked at again, since filling leaves drops. INCONCLUSIVE while the watch is short, a joint
    has too few looks or none at the end, the level sinks, or the pump draws air. Looks that follow each other within
    half of their even spacing count once: three in the first minute tell no more than one. Coolant that went in or out
    hides what leaks: the level is watched again from then on, and the last look is at the end of that. Times and
    numbers: common practice, no source.

    Examples
    --------
    >>> from commission.stages.first_power.model.wet_watch import WetLook, WetRule, WetWatch
    >>> looks = tuple(WetLook(joint="pump inlet", paper=Paper.DRY, elapsed_s=t) for t in (60, 900, 1800))
    >>> watch = WetWatch(
    ...     joints=("pump inlet",), looks=looks, elapsed_s=1800, level=LevelLook.STEADY, noise=Noise.QUIET
    ... )
    >>> str(evaluate_wet_watch(watch, WetRule(watch_s=1800, looks=3)).outcome)
    'pass'
    """
    if rule.looks < 1 or not rule.watch_s > 0:
        raise ValueError("a leak watch needs at least one check and some time")
    by_joint = _by_joint(watch)
    leaks = [leak for joint, looks in by_joint.items() if (leak := _leak(joint, looks)) is not None]
    if watch.leak_told:
        where = braced(watch.leak_told)
        said = f"A leak was recorded while the pump ran: {where}. Watch again after its repair."
        leaks.append(Phrase("leak_told", said))
    end_s = watch.end_s(rule)
    due = tuple(joint for joint, looks in by_joint.items() if not _done(looks, rule, end_s))
    open_ends = [*_damp(by_joint), *_state(watch), *_unfinished(watch, rule, due, end_s)]
    outcome = Outcome.FAIL if leaks else Outcome.INCONCLUSIVE if open_ends else Outcome.PASS
    damp = [joint for joint, seen in by_joint.items() if any(look.paper is not Paper.DRY for look in seen)]
    stayed = f"{counted(len(by_joint), 'joint')} stayed dry while the pump ran."
    dried = f"{', '.join(damp)}: damp once, wiped, dry since; the other joints stayed dry while the pump ran."
    dry = Phrase("dry_since", dried) if damp else Phrase("all_dry", stayed)
    return WetVerdict(
        outcome=outcome,
        due=due,
        next_look_s=None if leaks or not due else _next_look(by_joint, rule, end_s),
        reasons=(*leaks, *open_ends) or (dry, *_unwatched(watch, by_joint)),
    )


def _unwatched(watch: WetWatch, by_joint: dict[str, list[WetLook]]) -> list[Phrase]:
    """Say up to when the joints were looked at, where the pump ran on for long."""
    last_s = min(looks[-1].elapsed_s for looks in by_joint.values())
    if watch.elapsed_s <= last_s + UNWATCHED_S:
        return []
    said = "The joints were looked at up to {0}. The pump ran on to {1}, and nobody looked."
    times = (Amount(Quantity.DURATION, last_s), Amount(Quantity.DURATION, watch.elapsed_s))
    return [Phrase("unwatched", said, times)]


def _by_joint(watch: WetWatch) -> dict[str, list[WetLook]]:
    by_joint: dict[str, list[WetLook]] = {joint: [] for joint in watch.joints}
    for look in sorted(watch.looks, key=lambda look: look.elapsed_s):
        by_joint.setdefault(look.joint, []).append(look)
    return by_joint


def _leak(joint: str, looks: list[WetLook]) -> Phrase | None:
    if any(look.paper is Paper.WET for look in looks):
        said = f"{joint} is wet: switch the pump off, unplug the mains, soak it up, and find where it comes from."
        return Phrase("joint_wet", said)
    if sum(look.paper is Paper.DAMP for look in looks) > 1:
        said = f"{joint} was damp more than once: switch the pump off and unplug the mains; it weeps."
        return Phrase("joint_weeps", said)
    return None


def _done(looks: list[WetLook], rule: WetRule, end_s: float) -> bool:
    if _spread(looks, rule) < rule.looks:
        return False
    return looks[-1].elapsed_s >= end_s and looks[-1].paper is Paper.DRY


def _spread(looks: list[WetLook], rule: WetRule) -> int:
    """Return how many looks count: each at least half of the even spacing after the one that counted before."""
    apart_s = SPREAD * rule.watch_s / rule.looks
    counted: list[float] = []
    for look in looks:
        if not counted or look.elapsed_s >= counted[-1] + apart_s:
            counted.append(look.elapsed_s)
    return len(counted)


def _damp(by_joint: dict[str, list[WetLook]]) -> list[Phrase]:
    found = []
    for joint, looks in by_joint.items():
        if looks and looks[-1].paper is Paper.DAMP:
            said = f"{joint} was damp: wipe it dry and look again in some minutes."
            found.append(Phrase("joint_damp", said))
    return found


def _state(watch: WetWatch) -> list[Phrase]:
    found = []
    if watch.level is LevelLook.SINKING:
        said = "The level sinks: air leaves the loop, or coolant does. Find out which before you go on."
        found.append(Phrase("level_sinks", said))
    if watch.noise in (Noise.GURGLING, Noise.RATTLING):
        said = f"The pump is {watch.noise}: it draws air. Stop it, and bleed again."
        found.append(Phrase("pump_draws_air", said))
    lacks = [
        what
        for what, missing in (
            ("look at the level", watch.level is LevelLook.NOT_LOOKED),
            ("listen to the pump", watch.noise is Noise.NOT_LISTENED),
        )
        if missing
    ]
    if lacks:
        found.append(Phrase("not_looked", f"Still to do: {', '.join(lacks)}."))
    return found


def _unfinished(watch: WetWatch, rule: WetRule, due: tuple[str, ...], end_s: float) -> list[Phrase]:
    if not watch.joints and not watch.looks:
        return [Phrase("no_joints", "Name every joint that can be wet: nobody looks at one that is not on the list.")]
    if watch.elapsed_s < end_s:
        left = (end_s - watch.elapsed_s) / 60
        if watch.moved_s is not None:
            said = f"Coolant went in or out while the pump ran: let it run for {left:.0f} min more, level untouched."
            return [Phrase("coolant_moved", said)]
        return [Phrase("watch_short", f"The pump must run for {left:.0f} min more, with looks at every joint.")]
    if due:
        said = (
            f"Each joint needs {rule.looks} looks spread over the watch, the last one dry and at the end; still due: "
        )
        said += f"{', '.join(due)}."
        return [Phrase("looks_due", said)]
    return []


def _next_look(by_joint: dict[str, list[WetLook]], rule: WetRule, end_s: float) -> float:
    """Return when the next look is due: looks are spread evenly, the last one at the end.

    One that comes more than half of their spacing early, as right after the start, leaves the next one due.
    """
    apart_s = rule.watch_s / rule.looks
    due_s = [apart_s * n for n in range(1, rule.looks)]
    latest_s = min(max((look.elapsed_s for look in looks), default=-apart_s) for looks in by_joint.values())
    return next((one for one in due_s if latest_s < one - SPREAD * apart_s), end_s)
