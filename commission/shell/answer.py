"""What a calculator answers: one JSON object on one line, or why these figures give none."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict

from commission.base.errors import InputError


def answer_line(answer: object) -> str:
    """Return an answer, which is a dataclass, as one JSON object on one line, in ASCII."""
    return json.dumps(answer, default=asdict, ensure_ascii=True, allow_nan=False)


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
