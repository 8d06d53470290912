"""Whether what every screen asks must have been said of an attempt: the first version of the program did not ask it."""

from commission.record.logged import Logged

FIRST = "0.1.0"
"""The version that asked neither how the source is off nor what powers the pump."""


def asked(program: str, closed: Logged | None) -> bool:
    """Return whether it must have been said.

    Parameters
    ----------
    program
        Version that judges, or judged, what is not ended yet.
    closed
        The entry that ended the attempt, with its own version; None while it goes on.
    """
    return (program if closed is None else getattr(closed.payload, "program", program)) != FIRST
