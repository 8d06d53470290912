"""Which chains may sit on a header: the rules, for one chain alone and for several together."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase
from commission.record.machine.seat_check import start_over, steady_over
from commission.stages.fan_headers.model.layout import Refusal, Rule

if TYPE_CHECKING:
    from commission.record.machine.seats import Drive
    from commission.stages.fan_headers.model.layout import LayoutChain, LayoutHeader, LayoutProblem


class Table(Frozen):
    """A question with everything in order of name, chains as bits of a mask."""

    problem: LayoutProblem
    """The question."""
    headers: tuple[LayoutHeader, ...]
    """Headers by name."""
    chains: tuple[LayoutChain, ...]
    """Chains by name; chain i is bit i."""
    steady: tuple[int, ...]
    """Steady current of each set of chains [mA]."""
    start: tuple[int, ...]
    """Start current of each set of chains [mA]."""
    together: frozenset[int]
    """Sets of chains that may share some header: alike in drive, and a pump alone."""
    refusals: dict[tuple[int, int], Refusal]
    """Why a chain cannot sit on a header, by the places of chain and header."""

    @property
    def everyone(self) -> int:
        """The set of all chains."""
        return (1 << len(self.chains)) - 1

    def names(self, mask: int) -> tuple[str, ...]:
        """Return the names of a set of chains, in order."""
        return tuple(chain.name for i, chain in enumerate(self.chains) if mask >> i & 1)

    def allowed(self, j: int) -> int:
        """Return the set of chains that may sit on a header alone."""
        return sum(1 << i for i in range(len(self.chains)) if (i, j) not in self.refusals)

    def within(self, mask: int, j: int, *, steady: bool = True, start: bool = True) -> bool:
        """Tell whether a set of chains keeps to a header's rating."""
        rating, problem = self.headers[j].rating_ma, self.problem
        if steady and 100 * self.steady[mask] > problem.steady_percent * rating:
            return False
        return not start or self.start[mask] <= rating


def table_of(problem: LayoutProblem) -> Table:
    """Bring a question without complaints into order: headers and chains by name, and the rules for each pair.

    The order of names makes the answer independent of the order of the question.

    Examples
    --------
    >>> from commission.record.machine.seats import Drive
    >>> from commission.stages.fan_headers.model.layout import LayoutChain, LayoutHeader, LayoutProblem
    >>> fans = LayoutChain(name="front", drive=Drive.VOLTAGE, steady_ma=900)
    >>> header = LayoutHeader(name="SYS", rating_ma=1000, modes=(Drive.PWM,))
    >>> table = table_of(LayoutProblem(headers=(header,), chains=(fans,)))
    >>> str(table.refusals[0, 0].rule), table.start[1]
    ('drive not offered', 1800)
    """
    headers = tuple(sorted(problem.headers, key=lambda header: header.name))
    chains = tuple(sorted(problem.chains, key=lambda chain: chain.name))
    pairs = ((i, j) for i in range(len(chains)) for j in range(len(headers)))
    found = {(i, j): refusal(chains[i], headers[j], problem) for i, j in pairs}
    return Table(
        problem=problem,
        headers=headers,
        chains=chains,
        steady=_sums([chain.steady_ma for chain in chains]),
        start=_sums([problem.start_of(chain) for chain in chains]),
        together=frozenset(mask for mask in range(1, 1 << len(chains)) if _may_share(mask, chains)),
        refusals={pair: refused for pair, refused in found.items() if refused is not None},
    )


def _sums(values: list[int]) -> tuple[int, ...]:
    sums = [0]
    for value in values:
        sums += [value + before for before in sums]
    return tuple(sums)


def _may_share(mask: int, chains: tuple[LayoutChain, ...]) -> bool:
    members = [chain for i, chain in enumerate(chains) if mask >> i & 1]
    drives: set[Drive] = {chain.drive for chain in members}
    return len(members) == 1 or (len(drives) == 1 and not any(chain.pump or chain.alone for chain in members))


def refusal(chain: LayoutChain, header: LayoutHeader, problem: LayoutProblem) -> Refusal | None:
    """Return the gravest rule by which a chain cannot sit on a header with nothing else on it; None where it may.

    A pump on a header that can stop it is blocked whatever else is overridden. Steady currents may take 80 % of the
    rating, start currents all of it; part-speed currents play no role, since a header that loses its signal runs the
    fans at full speed (Intel 4-wire specification rev 1.3, p. 14). The shares are our own choice.

    Examples
    --------
    >>> from commission.record.machine.seats import Drive
    >>> from commission.stages.fan_headers.model.layout import LayoutChain, LayoutHeader, LayoutProblem
    >>> chain = LayoutChain(name="front", drive=Drive.PWM, steady_ma=1000, start_ma=1000)
    >>> header = LayoutHeader(name="SYS", rating_ma=1000, modes=(Drive.PWM,))
    >>> refusal(chain, header, LayoutProblem(headers=(header,), chains=(chain,))).why.template
    'Steady current 1000 mA exceeds 800 mA, 80 % of the rating 1000 mA.'
    """
    rule, why = _rule(chain, header, problem)
    if rule is None:
        return None
    return Refusal(chain=chain.name, header=header.name, rule=rule, why=why)


_FREE = Phrase("free", "Nothing forbids it.")


def _rule(chain: LayoutChain, header: LayoutHeader, problem: LayoutProblem) -> tuple[Rule | None, Phrase]:
    if chain.pump and not header.full_speed_lock:
        said = "The header can stop the pump: lock it at full speed, or feed the pump from the power supply."
        return Rule.PUMP, Phrase("pump_can_stop", said)
    if chain.control_wanted and chain.drive not in header.modes:
        said = f"The chain is driven by {chain.drive}, the header offers {', '.join(header.modes)} only."
        return Rule.DRIVE, Phrase("drive_not_offered", said)
    if 100 * chain.steady_ma > problem.steady_percent * header.rating_ma:
        return Rule.STEADY, steady_over(chain.steady_ma, header.rating_ma, problem.steady_percent)
    start = problem.start_of(chain)
    if start > header.rating_ma:
        return Rule.START, start_over(start, header.rating_ma, known=chain.start_ma is not None)
    if chain.reach and header.name not in {reach.header for reach in chain.reach}:
        return Rule.REACH, Phrase("out_of_reach", "No cable length to this header is given: out of reach.")
    if any(seat.chain == chain.name and seat.header == header.name for seat in problem.barred):
        return Rule.BARRED, Phrase("sweep_failed", "A sweep showed that this header does not control this chain.")
    return None, _FREE
