"""The loop as a whole: its volume from its parts, its weakest part, and what should not be put together."""

import math
from collections import defaultdict
from collections.abc import Sequence

from commission.base.frozen import Frozen, replace
from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.text import braced
from commission.record.machine.instrument import Instrument, InstrumentKind
from commission.record.machine.parts import Material, Part

NOBLER_THAN_ALUMINIUM = (Material.COPPER, Material.BRASS, Material.NICKEL)
"""What makes bare aluminium corrode in the same coolant (common practice, no source)."""


K95 = 1.96
"""Coverage factor of 95 % for a normal distribution [1]. Source: JCGM 100:2008, table G.1."""


class LoopVolume(Frozen):
    """Internal volume of a loop."""

    volume_m3: float
    """Best estimate [m3]."""
    u_volume_m3: float
    """Standard uncertainty [m3]."""
    basis: str
    """``parts``, ``measured on air`` or ``typed``."""

    @property
    def most_m3(self) -> float:
        """The largest volume that whoever judges by this one allows for, at 95 % [m3]."""
        return self.volume_m3 + K95 * self.u_volume_m3

    @property
    def least_m3(self) -> float:
        """The smallest one [m3]."""
        return self.volume_m3 - K95 * self.u_volume_m3


def volume_from_parts(parts: Sequence[Part]) -> LoopVolume | None:
    """Return the volume of a loop as the sum of its parts.

    Returns
    -------
    LoopVolume or None
        None where there are no parts. Uncertainties of measured volumes are independent and add in quadrature; typical
        values of the same kind of part may all be wrong in the same direction and add linearly (JCGM 100 5.2.2).
    """
    if not parts:
        return None
    squares = 0.0
    same_error: defaultdict[str, float] = defaultdict(float)
    for part in parts:
        if "volume" in part.assumed:
            same_error[part.kind] += part.u_volume_m3
        else:
            squares += part.u_volume_m3**2
    squares += sum(u**2 for u in same_error.values())
    total = math.fsum(part.volume_m3 for part in parts)
    return LoopVolume(volume_m3=total, u_volume_m3=math.sqrt(squares), basis="parts")


def with_parts(loop: LoopVolume, parts: Sequence[Part]) -> LoopVolume:
    """Return a volume that was measured without some parts, with them.

    Parameters
    ----------
    parts
        The parts that no air reached then; may be none.

    Returns
    -------
    LoopVolume
        The sum; the two uncertainties are independent and add in quadrature (JCGM 100 5.1.2).
    """
    more = volume_from_parts(parts)
    if more is None:
        return loop
    return replace(
        loop,
        volume_m3=loop.volume_m3 + more.volume_m3,
        u_volume_m3=math.hypot(loop.u_volume_m3, more.u_volume_m3),
    )


def weakest_part(parts: Sequence[Part]) -> Part | None:
    """Return the part with the lowest stated pressure rating, or None where none states one."""
    rated = [part for part in parts if part.max_gauge_pa is not None]
    return min(rated, key=lambda part: part.max_gauge_pa or math.inf, default=None)


def unrated_parts(parts: Sequence[Part]) -> tuple[Part, ...]:
    """Return the parts whose pressure rating nobody stated."""
    return tuple(part for part in parts if part.max_gauge_pa is None)


def rating_text(parts: Sequence[Part]) -> str:
    """Return the highest pressure that the parts allow, in words, and the parts of which nobody knows it."""
    from commission.units.show import show

    weakest, unrated = weakest_part(parts), names_of(unrated_parts(parts))
    unknown = f"NOT KNOWN of {unrated}" if unrated else ""
    if weakest is None or weakest.max_gauge_pa is None:
        return unknown or "not known, no part is on the list"
    typical = ", typical, not its maker's" if "rating" in weakest.assumed else ""
    known = f"{show(weakest.max_gauge_pa, Quantity.GAUGE_PRESSURE)}, {weakest.name}{typical}"
    return f"{known}; {unknown}" if unknown else known


def names_of(parts: Sequence[Part]) -> str:
    """Return the names of parts in one line, at most five of them.

    >>> names_of(())
    ''
    """
    said = ", ".join(part.name for part in parts[:5])
    return f"{said} and {len(parts) - 5} more" if len(parts) > 5 else said


def mixed_metals(parts: Sequence[Part]) -> Phrase | None:
    """Return a warning where bare aluminium shares a loop with copper, brass or nickel."""
    bare = [part.name for part in parts if Material.BARE_ALUMINIUM in part.materials]
    nobler = [part.name for part in parts if set(part.materials) & set(NOBLER_THAN_ALUMINIUM)]
    if not bare or not nobler:
        return None
    names = f"{', '.join(dict.fromkeys(bare))} with {', '.join(dict.fromkeys(nobler))}"
    return Phrase(
        "mixed_metals",
        f"Bare aluminium and copper, brass or nickel share this loop ({braced(names)}): "
        "the aluminium will corrode. Take one of them out.",
    )


def too_much_pressure(parts: Sequence[Part], target_gauge_pa: float) -> Phrase | None:
    """Return a warning where a test pressure is above the rating of the weakest part."""
    weakest = weakest_part(parts)
    if weakest is None or weakest.max_gauge_pa is None or target_gauge_pa <= weakest.max_gauge_pa:
        return None
    return Phrase(
        "above_weakest_part",
        f"{{0}} is above the rating of {braced(weakest.name)}, {{1}}. Test at or below that.",
        (
            Amount(Quantity.GAUGE_PRESSURE, target_gauge_pa),
            Amount(Quantity.GAUGE_PRESSURE, weakest.max_gauge_pa),
        ),
    )


def gauge_warnings(gauge: Instrument, target_gauge_pa: float, ratio: float) -> list[Phrase]:
    """Return what is wrong with a gauge's range at a test pressure."""
    found = gauge_too_coarse(gauge, target_gauge_pa, ratio), gauge_too_short(gauge, target_gauge_pa)
    return [phrase for phrase in found if phrase is not None]


def gauge_too_coarse(gauge: Instrument, target_gauge_pa: float, ratio: float) -> Phrase | None:
    """Return a warning where a gauge's full scale is more than ``ratio`` times the test pressure."""
    if gauge.kind is not InstrumentKind.GAUGE or gauge.high <= ratio * target_gauge_pa:
        return None
    return Phrase(
        "gauge_range",
        f"{braced(gauge.name)} reads to {{0}}, more than {ratio:g} times the test pressure {{1}}: "
        "it is coarse where you use it. A gauge of smaller range decides sooner.",
        (Amount(Quantity.GAUGE_PRESSURE, gauge.high), Amount(Quantity.GAUGE_PRESSURE, target_gauge_pa)),
    )


def gauge_too_short(gauge: Instrument, target_gauge_pa: float) -> Phrase | None:
    """Return a warning where a gauge cannot show the test pressure."""
    if gauge.kind is not InstrumentKind.GAUGE or gauge.high >= target_gauge_pa:
        return None
    return Phrase(
        "gauge_too_short",
        f"{braced(gauge.name)} reads only to {{0}}: it cannot show {{1}}, and may be damaged by it.",
        (Amount(Quantity.GAUGE_PRESSURE, gauge.high), Amount(Quantity.GAUGE_PRESSURE, target_gauge_pa)),
    )
