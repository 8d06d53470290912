"""When something of the service plan is due."""

from collections.abc import Mapping, Sequence

from commission.stages.handover.model import DueItem, Interval, ServiceItem


def due_items(plan: Sequence[Interval], done_ms: Mapping[ServiceItem, int]) -> tuple[DueItem, ...]:
    """Return what is due next of each item, the soonest first.

    Parameters
    ----------
    plan
        How often each is due.
    done_ms
        When each was done last [ms since 1970 UTC]; one that is missing is not planned.
    """
    found = (
        DueItem(
            item=one.item,
            since_ms=done_ms[one.item],
            due_ms=done_ms[one.item] + round(1000 * one.every_s),
            every_s=one.every_s,
            why=one.why,
        )
        for one in plan
        if one.item in done_ms
    )
    return tuple(sorted(found, key=lambda one: (one.due_ms, list(ServiceItem).index(one.item))))
