"""What dust filters are about."""

from commission.base.frozen import dataclass
from commission.base.verdict import Outcome

STAGE = "dust_filters"
"""Id of the stage in the procedure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FiltersVerdict:
    """What the gaps prove."""

    outcome: Outcome
    widest_m: float
