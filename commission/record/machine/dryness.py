"""Words that say wet, where somebody says that all is dry: none of them is dropped, at any stage."""

import re
from collections.abc import Iterator

from commission.base.errors import NotAllowed
from commission.base.text import clip

_WET = re.compile(
    r"\b(wet(?:s|ter|ness|ted|ting)?|damp(?:ish|ness|ened)?|moist(?:ure|ened)?|drip(?:s|ped|ping|py)?"
    r"|(?<!level )drop(?:s|let|lets)?(?! (?:in|of) )|leak(?:s|ed|ing|y|age|ages|er|ers)?|weep(?:s|ed|ing|y)?|wept"
    r"|seep(?:s|ed|ing|age)?|puddl(?:e|es|ed|ing)|ooz(?:e|es|ed|ing)|trickl(?:e|es|ed|ing)|sweat(?:s|ed|ing|y)?"
    r"|bead(?:s|ed|ing)?(?![\s-]blast)|crust(?:s|y|ed)?|residues?|(?:not|never|hardly|isn't) (?:all )?dry"
    r"|coolant (?:under|on|below|beneath|outside|around)(?! pressure| ?\d)|liquid)\b",
    re.IGNORECASE,
)
"""What paper or eyes find at a joint that lets coolant out; our choice: the words that people use of it, each whole."""
_OTHER = re.compile(
    r"\b(?:leak(?:age)?[\s-]?(?:test(?:s|ed|er|ing)?|watch|check(?:s|ed)?|search|sensors?|detect\w+|rate|limit|tight\w*"
    r"|free|proof|less)"
    r"|drip[\s-]?(?:trays?|pans?|legs?|free|less|proof)|wet[\s-]?(?:rooms?|weight|mass|bulb)|wetting agents?"
    r"|wetted (?:parts?|surfaces?|materials?)|damp (?:cellar|basement|room|garage|air|weather)"
    r"|with (?:a |the )?(?:damp|wet) (?:cloth|rag)(?! (?:under|below|at|on))"
    r"|leakage currents?|weep holes?|(?:damp|wet) (?:cloth|rag) (?:ready|wiped)"
    r"|(?:for|against|free of) (?:leaks?|drips|drops)|liquid[\s-](?:cool\w+|metal))\b"
    r"|\b(?:logger|meter|gauge|sensor|bench|called|named|model|file)\s+[\"“'][^\"”']{1,30}[\"”']",
    re.IGNORECASE,
)
"""What speaks of the test, a tool, a name or the place, and of no coolant outside; our choice of words."""
_FOUND = re.compile(
    r"\b(?:fail\w*|tripp\w*|alarm\w*|beep\w*|rang|not passed|(?:is|was|shows|lit|turned|went) red"
    r"|(?:went|goes|gone) off|found (?:one|it|some|two|a)"
    r"|(?:no longer|not|never|hardly|isn't) (?:\w+ )?(?:leak|drip)[\s-]?(?:free|tight|proof|less|test passed)"
    r"|(?:water|coolant|liquid|fluid|drops?|mL) (?:is |was |stands? )?(?:in|on) (?:the |a |its )?(?:drip|leak|wet)"
    r"|(?:trays?|pans?|legs?|sensors?|detectors?)\W+(?:(?:is|was|has|holds|caught|some|a|little|half|full|of) )*"
    r"(?:full|water|coolant|liquid|drops?|\d+ ?ml))\b",
    re.IGNORECASE,
)
"""What such a test or tool says where it did find coolant outside."""
_NONE = re.compile(
    r"\b(?:no|not|nothing|never|without|non|no longer|nowhere)(?: a| any)?(?: signs? of| traces? of)?[\s-]+$",
    re.IGNORECASE,
)
_FREE = re.compile(r"[\s-]?(?:free|tight|proof|less)\b", re.IGNORECASE)
_CLEAR = re.compile(
    r"\b(?:(?:at|under|below|beneath|from|on|near|around|by|in|beside|down) (?:the |a |my )?[a-z]\w*|is|was|are|were"
    r"|gets|got|pump|block|cpu|gpu|joints?|fittings?|radiator|tubes?|hoses?|reservoir|port|seals?|valve|drain"
    r"|coolant|water|(?:drip|leak|weep|seep)s|(?:dripp|leak|weep|seep|ooz|trickl)(?:ing|ed)|wept|puddles?|beads)\b",
    re.IGNORECASE,
)
"""What makes a word a sentence about coolant outside: where it is, what it does; our choice of words."""
_BUT = re.compile(r"\b(?:but|except\w*|unless|apart|besides?|save|other than)\b", re.IGNORECASE)
"""What takes something out of a word about all."""


def wet_in(text: str) -> str:
    """Return the first word that says wet, is not denied and speaks of no test or tool; empty where none does.

    Examples
    --------
    >>> wet_in("all dry, pump drips"), wet_in("no drops, not wet, level 4 mm down"), wet_in("leak test of March")
    ('drips', '', '')
    """
    return next(_words(text), "")


def told_wet(text: str) -> str:
    """Return what `wet_in` does, but for a liquid that is named alone: coolant is one.

    >>> told_wet("liquid from the red can"), told_wet("liquid drips from the pump")
    ('', 'drips')
    """
    return next((word for word in _words(text) if word.casefold() != "liquid"), "")


def clearly_wet(text: str) -> str:
    """Return what `told_wet` does, where the text says so as a sentence does: where it is, or what it does.

    >>> clearly_wet("coolant drips from the pump"), clearly_wet("ambient: damp")
    ('drips', '')
    """
    return told_wet(text) if _CLEAR.search(text) or _FOUND.search(text) else ""


def _words(text: str) -> Iterator[str]:
    said = _without_tools(text)
    for found in _WET.finditer(said):
        free = _FREE.match(said, found.end())  # what is not leak-free leaks
        if free or not _NONE.search(said[: found.start()]):
            yield found[1]


def _without_tools(text: str) -> str:
    """Return a text of the same length in which nothing speaks of a test or a tool."""
    return text if _FOUND.search(text) else _OTHER.sub(lambda found: "_" * len(found[0]), text)


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
    said, words = _without_tools(text), text
    for found in reversed(list(_WET.finditer(said))):
        words = f"{words[: found.start()]} {words[found.end() :]}"
    return re.sub(r"^(?:\W|\b(?:at|under|below|on|near|by|the|is|a|it)\b)+|(?:\W|\b(?:is|a)\b)+$", "", words).strip()
