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


NOTE = {"note": "note TEXT: writes something down"}
"""What a note is told by wherever one may be typed."""
_STANDS_FOR = re.compile(r"\b[A-Z]{3,}\b")
"""A word in the form of a line that stands for a name, so that the form cannot be tried."""


class _Ear:
    """Where the words go that a reader looks for, each with what it does; nobody listens else."""

    heard: dict[str, str] | None = None


def hear(words: Iterable[str]) -> None:
    """Tell which words are looked for at the beginning of a line.

    Parameters
    ----------
    words
        The words; as a mapping, each with a line of its form and what it does, such as "time 1 h: how long it is
        held". One with an empty line is taken, and told nowhere.
    """
    if _Ear.heard is None:
        return
    lines = words if isinstance(words, Mapping) else {}
    for word in words:
        if word not in _Ear.heard or word in lines:
            _Ear.heard[word] = lines.get(word, NOTE.get(word, word))


def _lines_here(prompt: Prompt) -> dict[str, str]:
    before, _Ear.heard = _Ear.heard, {}
    try:
        prompt.understand(NO_WORD)
    except CommissionError:
        return {word: line for word, line in _Ear.heard.items() if word.replace("-", "").isalpha() and line}
    finally:
        _Ear.heard = before
    return {}


def words_here(prompt: Prompt) -> tuple[str, ...]:
    """Return the words that the reader of a prompt looks for, in its order; none where any text is an answer."""
    return tuple(_lines_here(prompt))


def not_named(prompt: Prompt) -> tuple[str, ...]:
    """Return the words that a prompt takes and does not name; those that are told everywhere left out."""
    said = " ".join((prompt.ask, prompt.hint, prompt.placeholder, prompt.proposal or "")).casefold()
    named = {*re.findall(r"[a-z]+", said), *re.findall(r"[a-z]+-[a-z]+", said), *EVERYWHERE}
    return tuple(word for word in words_here(prompt) if word not in named)


def with_more(prompt: Prompt | None) -> Prompt | None:
    """Return a prompt the hint of which says where more words are told, where it takes more than it names."""
    if prompt is None or not (prompt.words or not_named(prompt)):
        return prompt
    return replace(prompt, hint=" · ".join(filter(None, (prompt.hint, f"{MORE} more"))))


def told_here(prompt: Prompt) -> tuple[str, ...]:
    """Return a line for each word that a prompt takes, its form and what it does; or what the prompt lists itself.

    What may not be done now comes last and says why. Where no word says anything of its own, those that the hint leaves
    out are one line.
    """
    if prompt.words:
        return prompt.words
    unknown, _ = _answer(prompt, NO_WORD)
    now, not_now = [], []
    for word, line in _lines_here(prompt).items():
        form = line.partition(": ")[0]
        said, taken = _answer(prompt, word if _STANDS_FOR.search(form) else form)
        if form == word and taken:
            now.append(f"{word}: {said}")
        elif taken or _STANDS_FOR.search(form):
            now.append(line)
        elif said != unknown.replace(NO_WORD, form):
            not_now.append(f"{line}. Not now: {said}" if line != word else f"{word}: {said}")
    # a line that only repeats its word tells nothing
    parted = ((line, line.partition(": ")) for line in (*now, *not_now))
    lines = [line for line, (form, _, said) in parted if form != said]
    if not lines and not_named(prompt):
        lines.append(f"a line may begin with: {', '.join(words_here(prompt))}")
    return tuple(lines)


def _answer(prompt: Prompt, text: str) -> tuple[str, bool]:
    try:
        return prompt.understand(text), True
    except CommissionError as error:
        return str(error), False


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
