"""What a calculator answers: one JSON object on one line, or why these figures give none."""

import json
from collections.abc import Iterator
from contextlib import contextmanager

from msgspec import to_builtins

from commission.base.errors import InputError


def answer_line(answer: object) -> str:
    """Return an answer, made of named fields, as one JSON object on one line, in ASCII."""
    return json.dumps(answer, default=to_builtins, ensure_ascii=True, allow_nan=False)


@contextmanager
def in_words() -> Iterator[None]:
    """Turn a refusal of physics into one line that says what is wrong.

    Raises
    ------
    InputError
        If a figure makes no sense.
    """
    try:
        yield
    except ValueError as error:
        raise InputError(f"these figures give no answer: {error}") from None
