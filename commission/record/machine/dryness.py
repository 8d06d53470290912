"""Words that say wet, where somebody says that all is dry: none of them is dropped, at any stage."""

import re

from commission.base.errors import NotAllowed
from commission.base.text import clip

_WET = re.compile(
    r"\b(wet\w*|damp\w*|moist\w*|drip\w*|(?<!level )drop(?:s|let|lets)?(?! (?:in|of) )|leak\w*|weep\w*|wept|seep\w*"
    r"|puddle\w*|ooz\w*|trickl\w*|sweat\w*|beads?|crust\w*|residue|(?:not|never|hardly|isn't) (?:all )?dry"
    r"|coolant (?:under|on|below|beneath|outside|around)|liquid)\b",
    re.IGNORECASE,
)
"""What paper or eyes find at a joint that lets coolant out; our choice: the words that people use of it."""
_NONE = re.compile(r"\b(?:no|not|nothing|never|without|non|no longer|not a|nowhere)[\s-]+$", re.IGNORECASE)
_BUT = re.compile(r"\b(?:but|except\w*|unless|apart|besides?|save|other than)\b", re.IGNORECASE)
"""What takes something out of a word about all."""


def wet_in(text: str) -> str:
    """Return the first word that says wet and is not denied; empty where none does.

    Examples
    --------
    >>> wet_in("all dry, pump drips"), wet_in("no drops, not wet, level 4 mm down")
    ('drips', '')
    """
    return next((found[1] for found in _WET.finditer(text) if not _NONE.search(text[: found.start()])), "")


def not_all_dry(text: str) -> str:
    """Return the word of a note by which not all is dry: one that says wet, or takes something out; empty where none.

    >>> not_all_dry("but pump"), not_all_dry("paper since noon")
    ('but', '')
    """
    but = _BUT.search(text)
    return wet_in(text) or (but[0] if but else "")


def refuse_wet(note: str) -> None:
    """Raise NotAllowed where a note beside a dry look says that not all is dry."""
    word = not_all_dry(note)
    if word:
        raise NotAllowed(
            f"{clip(word)} is not all dry. What is wet is a leak: type leak, or run commission defect. What is dry "
            "needs no such word"
        )


def wet_place(text: str) -> str:
    """Return where it is wet by what was typed, without the words that say so; empty where no place is named.

    >>> wet_place("wet at the pump"), wet_place("pump top drips"), wet_place("damp")
    ('pump', 'pump top', '')
    """
    words = _WET.sub(" ", text)
    return re.sub(r"^(?:\W|\b(?:at|under|below|on|near|by|the|is|a|it)\b)+|(?:\W|\b(?:is|a)\b)+$", "", words).strip()
