"""Which words a line may begin with now, told by whoever reads it, and what each does; and those of before."""

import re
from collections.abc import Iterable, Mapping

from commission.base.errors import CommissionError, InputError
from commission.base.frozen import replace
from commission.bench.prompt import Prompt

MORE = "?"
"""Typed where it means nothing else, it lists the words that a line may begin with."""
ASKED_FOR = (MORE, "help")
"""What is typed for that list; our choice: who does not know the mark asks for help."""
EVERYWHERE = ("undo", "note")
"""Words that most lines take; the help of every screen tells them."""
NO_OTHER = "No other word is taken here."
"""Told where any text is an answer, or the question names every word."""
NO_WORD = "qx"
"""Stands for a word that nobody takes."""


class _Ear:
    """Where the words go that a reader looks for; nobody listens else."""

    heard: list[str] | None = None


def hear(words: Iterable[str]) -> None:
    """Tell which words are looked for at the beginning of a line."""
    if _Ear.heard is not None:
        _Ear.heard += words


def words_here(prompt: Prompt) -> tuple[str, ...]:
    """Return the words that the reader of a prompt looks for, in its order; none where any text is an answer."""
    before, _Ear.heard = _Ear.heard, []
    try:
        prompt.understand(NO_WORD)
    except CommissionError:
        return tuple(dict.fromkeys(word for word in _Ear.heard if word.isalpha()))
    finally:
        _Ear.heard = before
    return ()


def not_named(prompt: Prompt) -> tuple[str, ...]:
    """Return the words that a prompt takes and does not name; those that are told everywhere left out."""
    said = " ".join((prompt.ask, prompt.hint, prompt.placeholder, prompt.proposal or "")).casefold()
    named = set(re.findall(r"[a-z]+", said)) | set(EVERYWHERE)
    return tuple(word for word in words_here(prompt) if word not in named)


def with_more(prompt: Prompt | None) -> Prompt | None:
    """Return a prompt the hint of which says where more words are told, where it takes more than it names."""
    if prompt is None or not (prompt.words or not_named(prompt)):
        return prompt
    return replace(prompt, hint=" · ".join(filter(None, (prompt.hint, f"{MORE} more"))))


def told_here(prompt: Prompt) -> tuple[str, ...]:
    """Return a line for each word that a prompt takes: what it does now, or what it lacks; or what it lists itself.

    Where no word says anything of its own, those that the hint leaves out are one line.
    """
    if prompt.words:
        return prompt.words
    unknown = _answer(prompt, NO_WORD)
    lines = []
    for word in words_here(prompt):
        said = _answer(prompt, word)
        if said != unknown.replace(NO_WORD, word):
            lines.append(f"{word}: {said}")
    if not lines and not_named(prompt):
        lines.append(f"a line may begin with: {', '.join(words_here(prompt))}")
    return tuple(lines)


def _answer(prompt: Prompt, text: str) -> str:
    try:
        return prompt.understand(text)
    except CommissionError as error:
        return str(error)


def refuse_renamed(text: str, names: Mapping[str, str]) -> None:
    """Refuse a line that begins with a word of before.

    Parameters
    ----------
    text
        The line.
    names
        The word of today by that of before.

    Raises
    ------
    InputError
        If it begins with one of them; the message says what to type.
    """
    word = text.strip().partition(" ")[0].casefold().rstrip(":=")
    if word in names:
        raise InputError(f"{word} is renamed: type {names[word]}")
