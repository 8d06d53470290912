"""A file that is named in a typed line."""

from pathlib import Path

from commission.base.errors import InputError
from commission.base.text import clip

MOST_BYTES = 8_000_000
"""Size from which a file is none that a person wrote; our choice: the most characters of a table."""


def named_file(text: str, what: str) -> Path:
    """Return the path of a file that is there; blanks and quotes around it do not count.

    Parameters
    ----------
    text
        The path as typed.
    what
        What is in it, for the message, such as ``a table of voltages``.

    Raises
    ------
    InputError
        If nothing is typed, there is no such file, or it is too large.
    """
    typed = text.strip().strip("\"'")
    if not typed:
        raise InputError(f"type file and the path of {what}")
    path = Path(typed).expanduser()
    try:
        size = path.stat().st_size if path.is_file() else None
    except (OSError, ValueError):
        size = None
    if size is None:
        raise InputError(f"there is no file {clip(typed)}; type the path of {what}")
    if size > MOST_BYTES:
        raise InputError(f"{clip(path.name)} is too large for {what}: {size} bytes, {MOST_BYTES} are the most")
    return path
