"""How warm each component may get: by its maker's word where that was typed, else by the procedure for what it is."""

from collections.abc import Iterable, Mapping

from commission.stages.thermal_soak.model import Limits, PartLimit, SoakRule

KINDS: Mapping[str, tuple[str, ...]] = {
    "memory_most_k": ("memory", "ram", "dimm"),
    "drive_most_k": ("drive", "ssd", "nvme"),
    "regulator_most_k": ("vrm", "regulator", "mosfet", "mos"),
}
"""Words in a component's name by which another limit of the procedure is meant; our choice: what builders call them."""

OF_KIND = "procedure, for a "
"""How the source of a limit begins that a component's name chose."""

CHIPS = frozenset({"cpu", "gpu", "processor", "hotspot", "core", "junction", "package", "die"})
"""Words in a component's name by which a chip is meant that the coolant cools; our choice: as above."""


def is_chip(name: str) -> bool:
    """Return whether a component is, by its name, a chip that the coolant cools.

    Examples
    --------
    >>> is_chip("CPU 1"), is_chip("gpu hotspot"), is_chip("gpu memory"), is_chip("ssd")
    (True, True, False, False)
    """
    return bool(CHIPS & set(_words(name))) and not kind_of(name)


def kind_of(name: str) -> str:
    """Return which limit of the procedure is meant by a component's name; empty: that of any component.

    Examples
    --------
    >>> kind_of("vrm 1"), kind_of("NVMe_2"), kind_of("gpu memory"), kind_of("cpu")
    ('regulator_most_k', 'drive_most_k', 'memory_most_k', '')
    """
    words = set(_words(name))
    return next((kind for kind, called in KINDS.items() if set(called) & words), "")


def _words(name: str) -> list[str]:
    return "".join(sign if sign.isalpha() else " " for sign in name.casefold()).split()


def limits_of(names: Iterable[str], limits: Limits, rule: SoakRule) -> tuple[PartLimit, ...]:
    """Return the limit of each component.

    Parameters
    ----------
    names
        The components, as readings call them.
    limits
        Those that were typed, and those of the procedure for what a component is [K].

    Returns
    -------
    tuple of PartLimit
        One of each name, in their order [K].

    Notes
    -----
    A typed limit is a maker's word and counts also where it is above the procedure's.

    Source: our choice.
    """
    typed = {one.name.casefold(): one for one in limits.own}
    found = []
    for name in names:
        kind = kind_of(name)
        if (mine := typed.get(name.casefold())) is not None:
            found.append(PartLimit(name=name, most_k=mine.most_k, source=mine.source))
        elif kind in limits.usual:
            what = kind.partition("_")[0]
            found.append(PartLimit(name=name, most_k=limits.usual[kind], source=OF_KIND + what))
        else:
            found.append(PartLimit(name=name, most_k=rule.component_most_k))
    return tuple(found)
