"""Whether a machine may be handed over, and the one thing to do where not."""

from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.text import braced, clip, counted
from commission.base.verdict import Outcome
from commission.record.taken_back import TOLD, with_spared
from commission.stages.handover.model import HandoverFacts, HandoverVerdict, StageStands

MOST_OF_IT = 60
"""Characters of a defect that are told; our choice: it stays in one line of a terminal."""
CLOCK_BEHIND_S = 3600.0
"""A clock may stand so far before an entry unsaid [s]; our choice: clocks of two benches differ by minutes, and the
least interval of the service plan is a month."""
SPARES_WANTED = Phrase("spares_not_named", "Name the spare parts and the bottle that go along, or say none.")
LIFE_WANTED = Phrase(
    "coolant_life_not_read", "Read off the bottle how long the coolant may stay in, or say that it tells none."
)


def evaluate_handover(facts: HandoverFacts) -> HandoverVerdict:
    """Judge whether a machine may be handed over.

    Parameters
    ----------
    facts
        Where the stages stand, what is open, what was named.

    Returns
    -------
    HandoverVerdict
        Pass where nothing holds it up; else inconclusive, and the first reason is the one thing to do next.

    Notes
    -----
    A defect goes before a stage, since its repair may take away more stages. A reason opens the lock of a stage and no
    more: what was not brought to a pass holds up the handover.

    Source: our choice; ISO/IEC 17025, 7.8.6, asks that a statement of conformity names its rule (from memory).
    """
    held_up = _held_up(facts)
    if held_up:
        return HandoverVerdict(outcome=Outcome.INCONCLUSIVE, reasons=tuple(held_up))
    ready = Phrase("ready", "Every stage passed and still counts; no defect is open.")
    seen = told_with_it(facts)
    if not facts.left_out:
        return HandoverVerdict(outcome=Outcome.PASS, reasons=with_spared((ready, *seen), facts.spared))
    out = braced(clip(", ".join(facts.left_out), MOST_OF_IT))
    told = Phrase("left_out_on_air", f"Left out of the pressure hold: {out}. Nothing was proved of it on air.")
    return HandoverVerdict(outcome=Outcome.PASS, reasons=with_spared((ready, told, *seen), facts.spared))


def told_with_it(facts: HandoverFacts) -> tuple[Phrase, ...]:
    """Return what no handover may hide: top-ups withdrawn or of another bottle, a low level, what is overdue."""
    found = []
    if facts.taken:
        more = f", and {len(facts.taken) - TOLD} more" if len(facts.taken) > TOLD else ""
        said = braced("; ".join(facts.taken[-TOLD:]))
        found.append(Phrase("top_up_withdrawn", f"Withdrawn on the visit, not counted: {said}{more}."))
    if facts.seen_low:
        seen = braced(clip(facts.seen_low, MOST_OF_IT))
        found.append(Phrase("level_seen_low", f"The level was down and nothing was topped up: {seen}."))
    if facts.level_hides is not None:
        said = (
            "The level fell by {0} since the bleed. A temperature was not read, so up to {1} may be warmth. Read both."
        )
        found.append(Phrase("level_hides", said, tuple(Amount(Quantity.VOLUME, one) for one in facts.level_hides)))
    if facts.other_bottles:
        named = braced(clip(", ".join(facts.other_bottles), MOST_OF_IT))
        found.append(Phrase("other_bottle", f"Topped up from another bottle than the papers name: {named}."))
    if facts.overdue:
        late = ", ".join(f"{item} by {counted(days, 'day')}" for item, days in facts.overdue)
        found.append(Phrase("overdue", f"Overdue on the day of the handover: {late}."))
    if facts.clock_behind_s > CLOCK_BEHIND_S:
        behind = (Amount(Quantity.DURATION, facts.clock_behind_s),)
        said = "The computer's clock stands {0} before an earlier entry: no day told here can be trusted."
        found.append(Phrase("clock_behind", said, behind))
    return tuple(found)


def _held_up(facts: HandoverFacts) -> list[Phrase]:
    found = [_defect(seq, told) for seq, told in facts.defects]
    found += [_stage(one) for one in facts.stages if not one.passed]
    if not facts.spares_named:
        found.append(SPARES_WANTED)
    if not facts.planned:
        found.append(LIFE_WANTED)
    return found


def _defect(seq: int, told: str) -> Phrase:
    said = braced(clip(told, MOST_OF_IT))
    return Phrase("defect_open", f'A defect is open, entry {seq}: {said}. Repair it, then type "repaired".')


def _stage(one: StageStands) -> Phrase:
    name = braced(one.title)
    if one.overridden:
        return Phrase("reason_is_no_proof", f"{name} did not pass, and a reason is no proof: bring it to a pass.")
    if one.judged:
        return Phrase("stage_does_not_count", f"{name} has no pass that counts now: do it again.")
    return Phrase("stage_not_done", f"{name} was not done: bring it to a pass.")
