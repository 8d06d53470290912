"""Words that a line once began with: each answers with the one of today."""

from collections.abc import Mapping

from commission.base.errors import InputError
from commission.bench.ask import Question, asked_once
from commission.bench.deed import Deed


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


def with_renamed(question: Question, names: Mapping[str, str]) -> Question:
    """Return a question that answers words of before with those of today."""

    def deed(text: str) -> Deed:
        refuse_renamed(text, names)
        return question.deed(text)

    return asked_once(question.prompt, deed)
