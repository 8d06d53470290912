"""A fault that was found after a stage was judged: what it was, and what was done about it."""

from collections.abc import Callable

from commission.bench.ask import Question, asked_once, some_text
from commission.bench.deed import Deed
from commission.bench.prompt import Prompt
from commission.record.build_state import Finding


def found_deed(text: str, where: str, record: Callable[[str], object]) -> Deed:
    """Return what a fault does that was found; ``where`` stands before it once it is recorded."""
    found = some_text("what was found")(text)
    told = f"finding: {where}, {found}" if where else f"finding: {found}"
    return Deed(told=found, do=lambda: _done(record, found, told))


def ask_cure(finding: Finding, hint: str, record: Callable[[str, str], object]) -> Question:
    """Ask what was done about a fault.

    Parameters
    ----------
    finding
        The fault.
    hint
        An example.
    record
        Records it, given the id of the fault and what was done.
    """

    def read(text: str) -> Deed:
        cure = some_text("what was done")(text)
        return Deed(
            told=cure, do=lambda: _done(lambda done: record(finding.raised.finding_id, done), cure, f"cure: {cure}")
        )

    return asked_once(
        Prompt(
            key=f"cure {finding.seq}",
            ask=f"What was done about it ({finding.raised.where}: {finding.raised.note})?",
            hint=hint,
        ),
        read,
    )


def _done(record: Callable[[str], object], what: str, told: str) -> str:
    record(what)
    return told
