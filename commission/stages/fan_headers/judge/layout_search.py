"""The cheapest layouts, exactly: header by header, over every set of chains that is still to be placed."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.stages.fan_headers.judge.layout_rules import Table

MOST_LOOKED_AT = 500
"""Layouts of equal cost among which the preferred is sought [1]; our choice: keeps the search within a fifth of a
second."""

Placing = tuple[int, ...]
"""The set of chains on each header, in the order of headers."""


@dataclass(slots=True)
class _Costs:
    """The two lowest costs of placing a set of chains on the headers from some header on."""

    low: int
    ways: int
    next: int | None = None

    def take(self, cost: int, ways: int) -> None:
        if cost == self.low:
            self.ways += ways
        elif cost < self.low:
            self.low, self.ways, self.next = cost, ways, self.low
        elif self.next is None or cost < self.next:
            self.next = cost


class Search(Frozen):
    """Everything needed to read off the cheapest layouts."""

    groups: tuple[dict[int, int], ...]
    """For each header the sets of chains that may sit on it, with their cost [cm]."""
    tails: tuple[dict[int, _Costs], ...]
    """For each header, and one past the last: the lowest costs of the sets that go on it and those after [cm]."""
    everyone: int
    """The set of all chains."""

    @property
    def least(self) -> int | None:
        """Least cost [cm]; None where no layout is possible."""
        found = self.tails[0].get(self.everyone)
        return None if found is None else found.low

    @property
    def ways(self) -> int:
        """How many layouts have the least cost."""
        found = self.tails[0].get(self.everyone)
        return 0 if found is None else found.ways

    @property
    def next_cost(self) -> int | None:
        """The next cost above the least [cm]; None where there is none."""
        found = self.tails[0].get(self.everyone)
        return None if found is None else found.next

    def at_cost(self, cost: int) -> list[Placing]:
        """Return layouts of the least or next cost, at most `MOST_LOOKED_AT`, always the same ones."""
        return list(islice(self._placings(0, self.everyone, cost), MOST_LOOKED_AT))

    def _placings(self, j: int, mask: int, cost: int) -> Iterator[Placing]:
        if j == len(self.groups):
            yield ()
            return
        for group, price in self.groups[j].items():
            if group & ~mask:
                continue
            tail = self.tails[j + 1].get(mask & ~group)
            if tail is not None and cost - price in (tail.low, tail.next):
                for rest in self._placings(j + 1, mask & ~group, cost - price):
                    yield (group, *rest)


def groups_of(table: Table, j: int) -> dict[int, int]:
    """Return the cost [cm] of each set of chains that may sit on header j; the empty set costs nothing and comes last.

    Joining costs the penalty once for each chain beyond the first. Sums are of whole milliamperes: 3 times 0.2 A in
    floats is more than 0.6 A.

    Examples
    --------
    >>> from commission.record.machine.seats import Drive
    >>> from commission.stages.fan_headers.model.layout import LayoutChain, LayoutHeader, LayoutProblem
    >>> from commission.stages.fan_headers.judge.layout_rules import table_of
    >>> fans = [LayoutChain(name=n, drive=Drive.PWM, steady_ma=300, start_ma=400) for n in "ab"]
    >>> header = LayoutHeader(name="SYS", rating_ma=1000, modes=(Drive.PWM,))
    >>> groups_of(table_of(LayoutProblem(headers=(header,), chains=tuple(fans), share_penalty=50)), 0)
    {1: 0, 2: 0, 3: 50, 0: 0}
    """
    allowed = table.allowed(j)
    prices = [price_of(table, i, j) for i in range(len(table.chains))]
    penalty = table.problem.share_penalty
    found = {}
    for mask in range(1, table.everyone + 1):
        if not mask & ~allowed and mask in table.together and table.within(mask, j):
            members = [price for i, price in enumerate(prices) if mask >> i & 1]
            found[mask] = sum(members) + penalty * (len(members) - 1)
    found[0] = 0
    return found


def price_of(table: Table, i: int, j: int) -> int:
    """Return the cable of chain i on header j, and the penalty where it must be re-plugged [cm]; 0 without a cable.

    Examples
    --------
    >>> from commission.record.machine.seats import Drive, Reach
    >>> from commission.stages.fan_headers.model.layout import LayoutChain, LayoutHeader, LayoutProblem
    >>> from commission.stages.fan_headers.judge.layout_rules import table_of
    >>> reach = (Reach(header="SYS", cable_cm=25),)
    >>> fans = LayoutChain(name="a", drive=Drive.PWM, steady_ma=300, reach=reach)
    >>> header = LayoutHeader(name="SYS", rating_ma=1000, modes=(Drive.PWM,))
    >>> price_of(table_of(LayoutProblem(headers=(header,), chains=(fans,))), 0, 0)
    25
    """
    chain, header, problem = table.chains[i], table.headers[j].name, table.problem
    cable = next((reach.cable_cm for reach in chain.reach if reach.header == header), 0)
    seated = next((seat.header for seat in problem.now if seat.chain == chain.name), None)
    return cable + (problem.move_penalty if seated is not None and seated != header else 0)


def search(table: Table) -> Search:
    """Find the least cost, the number of layouts that have it, and the next cost.

    Dynamic programming over sets: at most 3^chains steps a header whatever the figures are, so equal costs do not
    make it slow. Exact; a tail of the third cost can never be part of the second-best whole.

    Examples
    --------
    >>> from commission.record.machine.seats import Drive
    >>> from commission.stages.fan_headers.model.layout import LayoutChain, LayoutHeader, LayoutProblem
    >>> from commission.stages.fan_headers.judge.layout_rules import table_of
    >>> fans = tuple(LayoutChain(name=n, drive=Drive.PWM, steady_ma=300, start_ma=400) for n in "abc")
    >>> headers = tuple(LayoutHeader(name=n, rating_ma=1000, modes=(Drive.PWM,)) for n in "XYZ")
    >>> found = search(table_of(LayoutProblem(headers=headers, chains=fans, share_penalty=50)))
    >>> found.least, found.ways, found.next_cost
    (0, 6, 50)
    """
    groups = tuple(groups_of(table, j) for j in range(len(table.headers)))
    tails: list[dict[int, _Costs]] = [{0: _Costs(low=0, ways=1)}]
    for j in reversed(range(len(groups))):
        following = list(tails[-1].items())
        here: dict[int, _Costs] = {}
        for group, price in groups[j].items():
            if j == 0:  # the first header takes whatever is left
                following = [(rest, costs) for rest, costs in tails[-1].items() if rest == table.everyone & ~group]
            for mask, costs in following:
                if not mask & group:
                    _take(here, mask | group, price, costs)
        tails.append(here)
    return Search(groups=groups, tails=tuple(reversed(tails)), everyone=table.everyone)


def _take(here: dict[int, _Costs], mask: int, price: int, costs: _Costs) -> None:
    found = here.get(mask)
    low = price + costs.low
    if found is None:
        here[mask] = _Costs(low=low, ways=costs.ways, next=None if costs.next is None else price + costs.next)
    elif found.next is None or low < found.next:  # else nothing of it is among the two lowest
        found.take(low, costs.ways)
        if costs.next is not None:
            found.take(price + costs.next, 0)
