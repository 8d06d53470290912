"""Where no layout is possible: the least that would have to change."""

from __future__ import annotations

from operator import itemgetter
from typing import TYPE_CHECKING

from commission.base.quantity import Phrase
from commission.stages.fan_headers.judge.layout_search import price_of
from commission.stages.fan_headers.model.layout import Change, Relaxation, Rule

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.stages.fan_headers.judge.layout_rules import Table

MOST_NAMED = 4
"""So many relaxations are named at most [1]; our choice: more are not read."""
_RANK = {change: rank for rank, change in enumerate(Change)}


def relaxations_of(table: Table, groups: Sequence[dict[int, int]]) -> tuple[Relaxation, ...]:
    """Return what would make a layout possible, from the sets of chains that may sit on each header.

    Changes at a single header, the fewest and smallest first; then the fewest chains to feed from elsewhere. What one
    header may carry, its subsets may too; so whether all chains but some fit on the other headers is a matter of sets.
    That a pump sits alone, and that unlike drives do not mix, is never relaxed. A larger rating means another header or
    a powered hub: it is never leave to overload this one.

    Examples
    --------
    >>> from commission.record.machine.seats import Drive
    >>> from commission.stages.fan_headers.model.layout import LayoutChain, LayoutHeader, LayoutProblem
    >>> from commission.stages.fan_headers.judge.layout_rules import table_of
    >>> from commission.stages.fan_headers.judge.layout_search import groups_of
    >>> pump = LayoutChain(name="pump", drive=Drive.PWM, steady_ma=1500, start_ma=2000, pump=True)
    >>> header = LayoutHeader(name="PUMP", rating_ma=3000, modes=(Drive.PWM,))
    >>> table = table_of(LayoutProblem(headers=(header,), chains=(pump,)))
    >>> [str(change) for change in relaxations_of(table, [groups_of(table, 0)])[0].changes]
    ['lock at full speed']
    """
    ahead = _covered(groups)
    behind = list(reversed(_covered(list(reversed(groups)))))
    found = []
    for j in range(len(table.headers)):
        prices = [price_of(table, i, j) for i in range(len(table.chains))]
        for group, relaxation in _at_header(table, j, ahead[j], behind[j + 1]):
            cable = sum(price for i, price in enumerate(prices) if group >> i & 1)
            found.append((_size(relaxation, cable), relaxation))
    found.sort(key=itemgetter(0))
    return (*_distinct([relaxation for _, relaxation in found]), _elsewhere(table, ahead[-1]))


def _covered(groups: Sequence[dict[int, int]]) -> list[set[int]]:
    """Return the sets of chains that the first none, one, two ... headers can carry."""
    covered = [{0}]
    for here in groups:
        covered.append({mask | group for mask in covered[-1] for group in here if not mask & group})
    return covered


def _at_header(table: Table, j: int, ahead: set[int], behind: set[int]) -> Iterator[tuple[int, Relaxation]]:
    """Yield the ways in which changes at one header let all others carry the rest."""
    for group in table.together:
        rest = table.everyone & ~group
        if any(not mask & ~rest and rest & ~mask in behind for mask in ahead):
            relaxation = _changes(table, group, j)
            if relaxation is not None:
                yield group, relaxation


def _changes(table: Table, group: int, j: int) -> Relaxation | None:
    """Return what must change for a set of chains to sit on a header; None where a sweep showed it useless."""
    header, problem = table.headers[j], table.problem
    members = [i for i in range(len(table.chains)) if group >> i & 1]
    if any((r := table.refusals.get((i, j))) is not None and r.rule is Rule.BARRED for i in members):
        return None
    chains = [table.chains[i] for i in members]
    changes = set()
    if any(chain.pump for chain in chains) and not header.full_speed_lock:
        changes.add(Change.LOCK)
    if any(chain.drive not in header.modes for chain in chains):
        changes.add(Change.MODE)
    if any(chain.reach and header.name not in {reach.header for reach in chain.reach} for chain in chains):
        changes.add(Change.CABLE)
    needed = -(-100 * table.steady[group] // problem.steady_percent)
    if not table.within(group, j, start=False):
        changes.add(Change.RATING)
    elif not table.within(group, j):
        told = sum(chain.steady_ma if chain.start_ma is None else chain.start_ma for chain in chains)
        changes.add(Change.RATING if told > header.rating_ma else Change.START)
    needed = max(needed, table.start[group])
    rating = needed if Change.RATING in changes else None
    ordered = tuple(sorted(changes, key=_RANK.__getitem__))
    names = table.names(group)
    return Relaxation(
        changes=ordered,
        header=header.name,
        chains=names,
        rating_ma=rating,
        what=_said(ordered, header.name, names, rating, table.start[group]),
    )


def _said(changes: Sequence[Change], header: str, chains: Sequence[str], rating: int | None, start: int) -> Phrase:
    parts = {
        Change.LOCK: "lock it at full speed in the firmware",
        Change.CABLE: "get a cable that reaches it",
        Change.START: f"override the guess of their start current, {start} mA, with a reason",
        Change.RATING: (f"have a header of {rating} mA there, or a powered hub; never load this one above its rating"),
        Change.MODE: "have a header that offers their drive there",
    }
    doing = "; ".join(parts[change] for change in changes)
    return Phrase("change_at_header", f"{' and '.join(chains)} on {header} would do: {doing}.")


def _size(relaxation: Relaxation, cable: int) -> tuple[object, ...]:
    ranks = [_RANK[change] for change in relaxation.changes]
    rating, chains = relaxation.rating_ma or 0, relaxation.chains
    return len(ranks), ranks, rating, len(chains), cable, relaxation.header, chains


def _distinct(found: Sequence[Relaxation]) -> list[Relaxation]:
    """Return the smallest of each kind at each header, those with the fewest changes only."""
    kept: dict[tuple[object, ...], Relaxation] = {}
    for relaxation in found:
        if len(relaxation.changes) == len(found[0].changes):
            kept.setdefault((relaxation.header, relaxation.changes), relaxation)
    return list(kept.values())[:MOST_NAMED]


def _elsewhere(table: Table, covered: set[int]) -> Relaxation:
    """Return the fewest chains that would have to be fed from elsewhere."""
    best = min(covered, key=lambda mask: (-mask.bit_count(), table.steady[table.everyone & ~mask], mask))
    names = table.names(table.everyone & ~best)
    said = f"Without {' and '.join(names)} the rest fits: feed {'them' if len(names) > 1 else 'it'} "
    said += "from the power supply or a powered hub."
    return Relaxation(
        changes=(Change.FEED,), header="", chains=names, rating_ma=None, what=Phrase("feed_from_elsewhere", said)
    )
