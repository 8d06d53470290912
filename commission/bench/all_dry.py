"""The word that says that all is dry, as it is typed: behind it stands nothing, or what is marked as a note."""

from commission.base.errors import InputError
from commission.base.text import clip
from commission.record.machine.dryness import refuse_wet

_WORDS = ("", "dry", "all dry", "all")


def read_all_dry(text: str) -> str:
    """Return the note of a line such as ``all dry # paper since noon``, empty without one.

    Raises
    ------
    InputError
        If anything else stands there: it may be what is not dry.
    NotAllowed
        If the note says so.

    Examples
    --------
    >>> read_all_dry("dry"), read_all_dry("all dry # paper since noon"), read_all_dry("dry, note: paper since noon")
    ('', 'paper since noon', 'paper since noon')
    """
    body, _, note = text.partition("#")
    if not note:
        body, note = _noted(text)
    said = " ".join(body.casefold().strip(" .,;:!").split())
    if said not in _WORDS:
        refuse_wet(said)
        raise InputError(f"{clip(said)} is more than dry; type dry alone, a note behind #, or leak for what is wet")
    refuse_wet(note)
    return note.strip()


def _noted(text: str) -> tuple[str, str]:
    """Part a line at the word note, where that stands behind the others."""
    words = text.split()
    at = next((n for n, word in enumerate(words) if word.casefold().rstrip(":") == "note"), len(words))
    return " ".join(words[:at]), " ".join(words[at + 1 :])
