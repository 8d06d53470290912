"""A fault that was found, after a stage was judged or at no stage: what it was, and what was done about it."""

from collections.abc import Callable

from commission.base.text import clip
from commission.bench.ask import Question, asked_once, some_text
from commission.bench.deed import Deed, said
from commission.record.build_state import BuildState, Finding

MOST = 2
"""Defects that a card tells; the log and the shell list them all."""
LONGEST = 120
"""Characters of a defect that a card tells; our choice: two lines of a terminal."""


def defect_notices(state: BuildState, stage: str) -> tuple[str, ...]:
    """Return a warning for each defect that is not repaired; what the stage itself found, it tells itself."""
    found = [one for one in state.open_findings if one.raised.stage != stage]
    return tuple(f"DEFECT: {clip(one.told, LONGEST)}. Once it is repaired, type: repaired" for one in found[:MOST])


def found_deed(found: str, where: str, record: Callable[[str], object]) -> Deed:
    """Return what a fault does that was found; ``where`` stands before it once it is recorded."""
    return said(found, lambda: record(found), answer=f"defect: {where}, {found}" if where else f"defect: {found}")


def cure_deed(finding: Finding, cure: str, record: Callable[[str, str], object]) -> Deed:
    """Return what a cure of a fault does, recorded by the id of the fault and what was done."""
    return said(cure, lambda: record(finding.raised.finding_id, cure), answer=f"repaired: {cure}")


def ask_cure(finding: Finding, hint: str, record: Callable[[str, str], object]) -> Question:
    """Ask what was done about a fault.

    Parameters
    ----------
    hint
        An example.
    record
        Records it, given the id of the fault and what was done.
    """
    read = some_text("what was done")
    return asked_once(
        lambda text: cure_deed(finding, read(text), record),
        key=f"cure {finding.seq}",
        ask=f"What was done about it ({finding.told})?",
        hint=hint,
    )
