"""A leak rate as a share of the limit, in the two digits that are read from afar; the rates stand in the figures."""

import math


def at_most(rate: float, limit: float) -> str:
    """Return how much of the limit a rate is at the most, rounded up [Pa·m3/s].

    >>> at_most(0.00159, 0.01), at_most(0.0166, 0.01)
    ('16 % of the limit', '1.7 × the limit')
    """
    share = rate / limit
    return f"{_digits(100 * share, up=True)} % of the limit" if share <= 1 else f"{_digits(share, up=True)} × the limit"


def at_least(rate: float, limit: float) -> str:
    """Return how many times the limit a rate is at the least, rounded down [Pa·m3/s].

    >>> at_least(0.0358, 0.01)
    '3.5 × the limit'
    """
    return f"{_digits(rate / limit, up=False)} × the limit"


def between(low: float, high: float, limit: float) -> str:
    """Return between which shares of the limit a rate lies, rounded outwards [Pa·m3/s].

    >>> between(-0.001, 0.0166, 0.01), between(0.004, math.inf, 0.01)
    ('between 0 and 1.7 × the limit', 'at least 0.4 × the limit')
    """
    if not math.isfinite(high):
        return f"at least {at_least(low, limit)}"
    return f"between {_digits(low / limit, up=False)} and {_digits(high / limit, up=True)} × the limit"


def _digits(number: float, *, up: bool) -> str:
    """Return a number in two digits, none below zero; what is a whole step but for the arithmetic stays one."""
    if not math.isfinite(number) or number <= 0:
        return "0"
    step = 10.0 ** (math.floor(math.log10(number)) - 1)
    count = math.ceil(number / step - 1e-9) if up else math.floor(number / step + 1e-9)
    return f"{count * step:.2g}" if count * step < 100 else f"{count * step:.0f}"
