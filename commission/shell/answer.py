"""Why a calculator gives no answer."""

from collections.abc import Iterator
from contextlib import contextmanager

from commission.base.errors import InputError


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
