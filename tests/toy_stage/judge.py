"""The verdict on dust filters: none has a gap above the limit."""

from collections.abc import Iterable

from commission.base.verdict import Outcome
from tests.toy_stage.model import FiltersVerdict


def evaluate_filters(gaps_m: Iterable[float], limit_m: float) -> FiltersVerdict:
    """Judge gaps [m] against the limit [m]; without any nothing is proved."""
    gaps = tuple(gaps_m)
    if not gaps:
        return FiltersVerdict(outcome=Outcome.INCONCLUSIVE, widest_m=0.0)
    widest = max(gaps)
    return FiltersVerdict(outcome=Outcome.PASS if widest <= limit_m else Outcome.FAIL, widest_m=widest)
