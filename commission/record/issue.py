"""Reports that were handed out: which entry each tells up to, and what is refused."""

from commission.base.errors import NotAllowed
from commission.base.frozen import Frozen
from commission.record.build_state import BuildState
from commission.record.entries import OperatorNamed, ProcedureAdopted, ReportIssued
from commission.record.logbook import Logbook
from commission.record.logged import Logged
from commission.record.record import SHOP

_UNTOLD = (ReportIssued, OperatorNamed, ProcedureAdopted)
"""Entries that change nothing of what a report tells."""


class Issue(Frozen):
    """One report: what it tells up to, and what it replaces."""

    head: int
    """Number of the last entry that it tells of."""
    replaces: int = 0
    """The same of the report that it replaces; 0 where there is none."""
    why: str = ""
    """Why that one is replaced."""
    recorded: bool = False
    """Whether it stands in the record; else it is a draft."""


def reports_of(book: Logbook, build_id: str) -> tuple[ReportIssued, ...]:
    """Return the reports of a build that were handed out, in order."""
    payloads = (entry.payload for entry in book.entries(build_id))
    return tuple(payload for payload in payloads if isinstance(payload, ReportIssued))


def last_told(book: Logbook, build_id: str) -> int:
    """Return the number of the last entry that changes what a report of a build tells."""
    entries = (*book.entries(build_id), *book.entries(SHOP))
    return max((entry.seq for entry in entries if not isinstance(entry.payload, _UNTOLD)), default=0)


def issue_at(book: Logbook, build_id: str, seq: int) -> Issue:
    """Return the report that tells up to an entry: as it was handed out, or as a draft where it was not."""
    found = next((one for one in reports_of(book, build_id) if one.head == seq), None)
    if found is None:
        return Issue(head=seq)
    return Issue(head=seq, replaces=found.replaces, why=found.why, recorded=True)


def next_issue(book: Logbook, build_id: str, why: str) -> Issue:
    """Return the report of a build as it stands: the last one where nothing came since, else a new one.

    Raises
    ------
    NotAllowed
        If it would replace one and nobody says why, or a reason is given where none is replaced.
    """
    head, before = last_told(book, build_id), reports_of(book, build_id)
    if any(one.head == head for one in before):
        if why:
            raise NotAllowed(
                f"the report up to entry {head} was handed out already and nothing came since; leave why out"
            )
        return issue_at(book, build_id, head)
    if not before:
        if why:
            raise NotAllowed("no report of this build was handed out yet, so none is replaced; leave why out")
        return Issue(head=head, recorded=True)
    if not why.strip():
        raise NotAllowed(
            f"a report up to entry {before[-1].head} was handed out already; say why a new one replaces it"
        )
    return Issue(head=head, replaces=before[-1].head, why=why.strip(), recorded=True)


def record_issue(book: Logbook, build_id: str, issue: Issue, digest: str) -> Logged | None:
    """Record that a report was handed out, and return the entry; None where one up to there stands already."""
    if any(one.head == issue.head for one in reports_of(book, build_id)):
        return None
    payload = ReportIssued(head=issue.head, digest=digest, replaces=issue.replaces, why=issue.why)
    return book.record(build_id, payload)


def refuse_running(book: Logbook, state: BuildState) -> None:
    """Refuse a report while readings stream in: what it tells up to an entry would not stay the same.

    Raises
    ------
    NotAllowed
        If an attempt runs that takes streamed readings.
    """
    begun = tuple(kinds.begun for kinds in book.registry.series)
    for stage, runs in state.runs.items():
        for run in runs:
            if run.started is not None and run.closed is None and isinstance(run.started.payload, begun):
                called = book.registry.called(stage)
                raise NotAllowed(f"{called} {run.attempt} is running at that entry; a report tells of what is ended")
