"""The words that stand here for the keys of the screens, and the keys that texts name, said as words."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen

if TYPE_CHECKING:
    from commission.bench.face import Face

OWN = {
    "back": "leave a half-answered form, else go to the builds",
    "builds": "go to the builds",
    "stages": "tell where each stage of this build stands",
    "next": "go to the stage whose turn it is",
    "log": "the entries of this build, and how one is withdrawn",
    "report": "hand out a report of this build",
    "details": "tell all that is known here",
    "show": "tell all that is known of the build",
    "again": "tell once more what is asked",
    "help": "tell what this is for, and these words",
    "leave": "end; what runs goes on, and what is stored stays",
}
"""What each word does. It is a word of its own only where the line as a whole means nothing else."""

_ALIASES = {"record": "log", "again?": "again", "?": "help", "quit": "leave", "exit": "leave"}
_FIXED = (
    ("Up and down choose; Enter opens it.", "a name opens that build"),
    ("Up and down scroll. ", "details tells every entry. "),
    ("Choose a build with up and down and Enter, or type the name of a new one.", "Type the name of a build."),
    ("the caution marked now", "the caution above"),
    ("PgDn: what comes after. Esc: back, no entry.", "back: no entry."),
)
"""Texts of the screens that name keys in a way of their own, each with what is said here."""
_KEYS = {"F1": "help", "F3": "next", "F4": "log", "F12": "report"}
_KEY = re.compile(r"\b(press )?(F[0-9]{1,2})\b", re.IGNORECASE)


class Places(Frozen):
    """The words that lead to places, and the keys that the screens have for them."""

    names: dict[str, str]
    """Name of a place by each word for it."""
    keys: dict[str, str]
    """What is typed here, by the key of the screens."""


def places_of(faces: tuple[Face, ...], titles: dict[str, str]) -> Places:
    """Return the words for the stages and the screens of the workshop.

    Parameters
    ----------
    faces
        The stages.
    titles
        How a build calls each of its stages, by its id; empty where none is open.
    """
    names: dict[str, str] = {}
    keys = dict(_KEYS)
    for face in faces:
        words = [face.id.replace("_", " "), titles.get(face.id, ""), *_called(face.key)]
        names |= {word.casefold(): face.id for word in words if word}
        if face.key is not None:
            keys[face.key.key.upper()] = face.key.title.casefold()
        for shop in face.shop:
            names |= {word.casefold(): shop.name for word in (shop.name, shop.title, *_called(shop.key))}
            if shop.key is not None:
                keys[shop.key.key.upper()] = shop.name
    return Places(names=names, keys=keys)


def _called(key: object) -> tuple[str, ...]:
    label, title = getattr(key, "label", ""), getattr(key, "title", "")
    return tuple(word for word in (label, title) if word)


def own_word(text: str) -> str:
    """Return the word of ours that a line is; empty where it is none.

    >>> own_word("Leave"), own_word("record"), own_word("497.5")
    ('leave', 'log', '')
    """
    word = " ".join(text.casefold().split())
    word = _ALIASES.get(word, word)
    return word if word in OWN else ""


def spoken(text: str, keys: dict[str, str]) -> str:
    """Return a text of the screens with words in place of keys, and its parts behind commas, as they are read out.

    >>> spoken("Esc: the builds", {})
    'back: the builds'
    >>> spoken("F9 describes another; or press F4", {"F9": "bottles", "F4": "log"})
    'bottles describes another; or type log'
    """
    for of_screen, here in _FIXED:
        text = text.replace(of_screen, here)
    text = re.sub(r"\bEsc\b", "back", text).replace(" · ", ", ")
    return _KEY.sub(lambda found: f"{'type ' if found[1] else ''}{keys.get(found[2].upper(), found[2])}", text)
