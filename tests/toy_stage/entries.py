"""What is recorded of dust filters."""

from typing import ClassVar

from commission.base.frozen import Frozen
from tests.toy_stage.model import FiltersVerdict


class FilterSeated(Frozen):
    """A filter was put in, and the widest gap at its frame was read."""

    KIND: ClassVar[str] = "filter seated"
    attempt: int
    name: str
    gap_m: float


class FiltersClosed(Frozen):
    """The filters were judged."""

    KIND: ClassVar[str] = "filters closed"
    attempt: int
    verdict: FiltersVerdict


FiltersEntry = FilterSeated | FiltersClosed
