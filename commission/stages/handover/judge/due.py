"""When something of the service plan is due."""

from collections.abc import Mapping, Sequence

from commission.stages.handover.model import DueItem, Interval, ServiceItem

DAY_MS = 86_400_000
"""A day [ms]. Source: 24 · 3600 s, arithmetic."""


def days_left(item: DueItem, now_ms: int, offset_min: int) -> int:
    """Return in how many days something is due by the calendar of a place; below 0 where it is overdue.

    >>> item = DueItem(item=ServiceItem.LOOK, since_ms=0, due_ms=DAY_MS, every_s=86400.0)
    >>> days_left(item, 2 * DAY_MS, 0), days_left(item, DAY_MS - 1, 0), days_left(item, DAY_MS - 1, 60)
    (-1, 1, 0)
    """
    day, today = ((ms + 60_000 * offset_min) // DAY_MS for ms in (item.due_ms, now_ms))
    return day - today


def due_items(plan: Sequence[Interval], done_ms: Mapping[ServiceItem, int]) -> tuple[DueItem, ...]:
    """Return what is due next of each item, the soonest first.

    Parameters
    ----------
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
