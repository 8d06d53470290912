"""What is recorded of dust filters."""

from typing import ClassVar

from commission.base.frozen import dataclass
from tests.toy_stage.model import FiltersVerdict


@dataclass(frozen=True, slots=True, kw_only=True)
class FilterSeated:
    """A filter was put in, and the widest gap at its frame was read."""

    KIND: ClassVar[str] = "filter seated"
    attempt: int
    name: str
    gap_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FiltersClosed:
    """The filters were judged."""

    KIND: ClassVar[str] = "filters closed"
    attempt: int
    verdict: FiltersVerdict


FiltersEntry = FilterSeated | FiltersClosed
