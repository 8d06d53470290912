"""What a typed line would do: told first, done after."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from commission.base.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True)
class Deed:
    """A line as it was understood, and what it does."""

    told: str
    """The line as understood, ready to read."""
    do: Callable[[], str]
    """Does it and returns what was done in one line."""


@contextmanager
def in_words() -> Iterator[None]:
    """Turn a refusal of physics into one that a person is shown."""
    try:
        yield
    except ValueError as error:
        raise InputError(str(error)) from None
