"""Names that are still free."""


def free_name(name: str, taken: frozenset[str]) -> str:
    """Return the name, with a number behind it where it is taken.

    >>> free_name("radiator", frozenset({"radiator", "radiator 2"}))
    'radiator 3'
    """
    folded = {other.casefold() for other in taken}
    if name.casefold() not in folded:
        return name
    return next(f"{name} {n}" for n in range(2, 1000) if f"{name} {n}".casefold() not in folded)
