"""The worked example of headers and chains, and an outside oracle: every layout counted, and SciPy's milp."""

from collections.abc import Iterator
from itertools import combinations, product

from commission.base.frozen import replace
from commission.record.machine.seats import Drive, Reach
from commission.stages.fan_headers.model.layout import LayoutChain, LayoutHeader, LayoutProblem

PWM, VOLTAGE = Drive.PWM, Drive.VOLTAGE
NAMES = ("PUMP", "CPU", "SYS1", "SYS2")


def header(name: str, rating_ma: int, *modes: Drive, lock: bool = False) -> LayoutHeader:
    return LayoutHeader(name=name, rating_ma=rating_ma, modes=modes, full_speed_lock=lock)


def chain(
    name: str, drive: Drive, steady_ma: int, start_ma: int | None, *cable: int, pump: bool = False
) -> LayoutChain:
    reach = tuple(Reach(header=to, cable_cm=cm) for to, cm in zip(NAMES, cable, strict=False))
    return LayoutChain(name=name, drive=drive, steady_ma=steady_ma, start_ma=start_ma, pump=pump, reach=reach)


BASE = LayoutProblem(
    headers=(
        header("PUMP", 3000, PWM, lock=True),
        header("CPU", 2000, PWM),
        header("SYS1", 2000, PWM, VOLTAGE),
        header("SYS2", 1000, PWM, VOLTAGE),
    ),
    chains=(
        chain("P", PWM, 1500, 2000, 5, 6, 30, 20, pump=True),
        chain("A", PWM, 600, 900, 30, 35, 15, 45),
        chain("B", PWM, 750, 1050, 12, 10, 40, 25),
        chain("R", VOLTAGE, 150, 300, 22, 20, 45, 8),
        chain("F", PWM, 400, 600, 35, 38, 10, 40),
    ),
    share_penalty=50,
)
"""Costs are cable in cm; figures invented."""


def with_header(problem: LayoutProblem, name: str, **changes: object) -> LayoutProblem:
    """Return the question with one header changed."""
    headers = tuple(replace(h, **changes) if h.name == name else h for h in problem.headers)  # type: ignore[arg-type]
    return replace(problem, headers=headers)


def with_chain(problem: LayoutProblem, name: str, **changes: object) -> LayoutProblem:
    """Return the question with one chain changed."""
    chains = tuple(replace(c, **changes) if c.name == name else c for c in problem.chains)  # type: ignore[arg-type]
    return replace(problem, chains=chains)


def cable_of(one: LayoutChain, to: LayoutHeader) -> int | None:
    """Return the cable that a chain needs to a header; None where it is out of reach."""
    if not one.reach:
        return 0
    return next((reach.cable_cm for reach in one.reach if reach.header == to.name), None)


def pair_allowed(one: LayoutChain, to: LayoutHeader) -> bool:
    return one.drive in to.modes and (to.full_speed_lock or not one.pump) and cable_of(one, to) is not None


def every_layout(problem: LayoutProblem) -> Iterator[tuple[int, tuple[str, ...]]]:
    """Yield cost and headers, in the order of chains, of every possible layout: by trying all of them."""
    for choice in product(problem.headers, repeat=len(problem.chains)):
        cost = price_of(problem, choice)
        if cost is not None:
            yield cost, tuple(to.name for to in choice)


def price_of(problem: LayoutProblem, choice: tuple[LayoutHeader, ...]) -> int | None:
    """Return what a layout costs; None where a rule forbids it."""
    cost = 0
    for one, to in zip(problem.chains, choice, strict=True):
        if not pair_allowed(one, to):
            return None
        cost += cable_of(one, to) or 0
    for to in problem.headers:
        on_it = [one for one, at in zip(problem.chains, choice, strict=True) if at.name == to.name]
        if 100 * sum(one.steady_ma for one in on_it) > 80 * to.rating_ma:
            return None
        starts = [2 * one.steady_ma if one.start_ma is None else one.start_ma for one in on_it]
        if sum(starts) > to.rating_ma:
            return None
        if any(a.pump or b.pump or a.drive is not b.drive for a, b in combinations(on_it, 2)):
            return None
        cost += problem.share_penalty * max(0, len(on_it) - 1)
    return cost


def milp_cost(problem: LayoutProblem, above: int | None = None) -> int | None:
    """Return the least cost by scipy.optimize.milp; with ``above``, the least cost greater than it."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    n, m = len(problem.chains), len(problem.headers)
    x = {(i, j): i * m + j for i in range(n) for j in range(m)}
    y = {j: n * m + j for j in range(m)}
    size = n * m + m
    cost, upper = np.zeros(size), np.ones(size)
    for (i, j), k in x.items():
        one, to = problem.chains[i], problem.headers[j]
        cost[k] = (cable_of(one, to) or 0) + problem.share_penalty
        upper[k] = 1 if pair_allowed(one, to) else 0
    for j in range(m):
        cost[y[j]] = -problem.share_penalty
    rows: list[tuple[dict[int, int], float, float]] = []
    for i in range(n):
        rows.append(({x[i, j]: 1 for j in range(m)}, 1, 1))
    for j, to in enumerate(problem.headers):
        chains = problem.chains
        rows.append(({x[i, j]: 100 * chains[i].steady_ma for i in range(n)}, -np.inf, 80 * to.rating_ma))
        starts = [2 * c.steady_ma if c.start_ma is None else c.start_ma for c in chains]
        rows.append(({x[i, j]: starts[i] for i in range(n)}, -np.inf, to.rating_ma))
        rows.append(({y[j]: 1} | {x[i, j]: -1 for i in range(n)}, -np.inf, 0))
        for a, b in combinations(range(n), 2):
            if chains[a].pump or chains[b].pump or chains[a].drive is not chains[b].drive:
                rows.append(({x[a, j]: 1, x[b, j]: 1}, -np.inf, 1))
    if above is not None:
        rows.append(({k: round(cost[k]) for k in range(size) if cost[k]}, above + 1, np.inf))
    matrix = np.zeros((len(rows), size))
    for r, (terms, _, _) in enumerate(rows):
        for k, value in terms.items():
            matrix[r, k] = value
    limits = LinearConstraint(matrix, np.array([r[1] for r in rows]), np.array([r[2] for r in rows]))
    found = milp(cost, constraints=limits, bounds=Bounds(0, upper), integrality=np.ones(size),
                 options={"mip_rel_gap": 0})  # fmt: skip
    return round(found.fun) if found.status == 0 else None
