"""What sits on which header as rows: the same on the board's card, in ``show`` and for an earlier day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.text import counted
from commission.bench.card import Figure, Table
from commission.stages.fan_headers.text import setting_text

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from commission.record.machine.seats import Drive, Header
    from commission.stages.fan_headers.model.layout import Load
    from commission.stages.fan_headers.rows.headers_json import ChainTold, HeaderTold
    from commission.stages.fan_headers.rows.layout_json import HeaderLoad


def header_row(header: Header | HeaderTold, chains: Sequence[str], load: str, swept: Iterable[str]) -> Figure:
    """Return a header: what sits on it, its load or its rating, how it is set, what its chains' sweeps showed."""
    rating = f"{header.rating_ma} mA{', ASSUMED' if header.rating_assumed else ''}"
    setting = setting_text(header.set_to, full_speed_lock=header.full_speed_lock, stops=())
    facts = [f"{header.pins}-pin {'/'.join(header.modes)}", setting, *([header.place] if header.place else [])]
    words = ", ".join(swept)
    return Figure(
        label=header.name,
        value=" + ".join(chains) or "empty",
        bounds=load or rating,
        remark=", ".join(facts) + (f" · {words}" if words else ""),
    )


MAP_HEADS = ("header", "what sits there", "mA steady/start", "duty", "word")
"""Columns of the header map."""


def board_table(rows: Iterable[tuple[str, str, str, str, str]]) -> Table:
    """Return the header map: a row for each chain, a header without one, and a chain without a header."""
    return Table(heads=MAP_HEADS, rows=tuple(rows), whole=2)


def current_text(drawn_ma: tuple[int, int] | None, rating_ma: int, *, assumed: bool) -> str:
    """Return what a header gives, against its rating.

    >>> current_text((600, 900), 2000, assumed=False), current_text(None, 1000, assumed=True)
    ('600/900 of 2000', 'of 1000 ASSUMED')
    """
    drawn = "" if drawn_ma is None else f"{drawn_ma[0]}/{drawn_ma[1]} "
    return f"{drawn}of {rating_ma}{' ASSUMED' if assumed else ''}"


def swept_text(chain: str, said: str) -> str:
    """Return what the sweep of a chain showed, behind its name."""
    return f"{chain} {said}"


def chain_text(chain: ChainTold, gone: str) -> str:
    """Return a chain where it sits, with what it is, and when it went where it is no more."""
    facts = chain_facts(chain.devices, chain.drive, pump=chain.pump)
    return f"{chain.name} ({facts}{f', {gone}' if gone else ''})"


def chain_facts(devices: int, drive: Drive, *, pump: bool) -> str:
    """Return what a chain is in a few words.

    >>> from commission.record.machine.seats import Drive
    >>> chain_facts(3, Drive.PWM, pump=False), chain_facts(1, Drive.PWM, pump=True)
    ('3 devices, pwm', 'pump, pwm')
    """
    return f"{'pump' if pump else counted(devices, 'device')}, {drive}"


def loose_row(name: str, facts: str, *, bounds: str = "", more: str = "") -> Figure:
    """Return a chain that sits on no header, with what it is."""
    return Figure(label="on no header", value=name, bounds=bounds, remark=f"{facts}; {more}" if more else facts)


def seat_row(header: str, chains: Iterable[str]) -> Figure:
    """Return what sat on a header at an earlier time."""
    return Figure(label=header, value=" + ".join(chains))


def load_row(header: str, load: Load | HeaderLoad) -> Figure:
    """Return a header of a layout with its chains and what they draw from it."""
    return Figure(
        label=header,
        value=" + ".join(load.chains),
        bounds=f"steady {load.steady_ma}, start {load.start_ma} of {load.rating_ma} mA",
    )
