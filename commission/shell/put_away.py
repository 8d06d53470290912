"""``commission put-away`` and ``bring-back``: a build leaves the list of builds on the screen, and is listed again."""

from __future__ import annotations

from commission.shell.recording import recording, records


@records("BUILD")
def put_away(build: str, *, as_json: bool) -> None:
    """Leave a build out of the list on the screen; everything of it stays.

    For one that was opened by mistake, or is done. "commission list" still lists it, and says so.

    \b
    Example:
      commission put-away "Desk loop"
    """
    with recording(build, as_json=as_json) as job:
        job.book.put_away(job.build_id)
        job.say(f'put away: "{build}"; commission bring-back lists it again')


@records("BUILD")
def bring_back(build: str, *, as_json: bool) -> None:
    """List a build again that was put away.

    \b
    Example:
      commission bring-back "Desk loop"
    """
    with recording(build, as_json=as_json) as job:
        job.book.bring_back(job.build_id)
        job.say(f'listed again: "{build}"')
