"""What a formula needs of its values, so that floats and the judge's arrays go through the same lines."""

from typing import Any, Protocol, TypeVar


class Arithmetic(Protocol):
    """A float, or an array of floats: whatever adds, multiplies and divides with floats."""

    def __add__(self, other: Any, /) -> Any:
        """Return the sum."""

    def __mul__(self, other: Any, /) -> Any:
        """Return the product."""

    def __truediv__(self, other: Any, /) -> Any:
        """Return the quotient."""

    def __rmul__(self, other: Any, /) -> Any:
        """Return the product with a float before it."""

    def __rtruediv__(self, other: Any, /) -> Any:
        """Return the quotient with a float before it."""


Values = TypeVar("Values", bound=Arithmetic)
"""Floats in, a float out; an array in, an array of its shape out."""
