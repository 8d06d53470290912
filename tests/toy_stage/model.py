"""What dust filters are about."""

from commission.base.frozen import Frozen
from commission.base.verdict import Outcome

STAGE = "dust_filters"
"""Id of the stage in the procedure."""


class FiltersVerdict(Frozen):
    """What the gaps prove."""

    outcome: Outcome
    widest_m: float
