"""How sure each bound of a hold must be that is judged once, or again after it was extended."""

RISK = 0.05
"""Risk that all looks at one hold together may spend on a wrong bound [1]; our choice, as for the bounds."""


def level_of_look(look: int) -> float:
    """Return the probability with which each bound holds at a look.

    Parameters
    ----------
    look
        Which look at an end of this hold, from 1 [1].

    Returns
    -------
    float
        1 − 0.05/2^look [1]: 97.5 % at the first look.

    Raises
    ------
    ValueError
        If look is below 1.

    Notes
    -----
    However often a hold is extended, the risks of all looks add up to less than 5 %, by the union bound; with
    0.05/look five looks would spend 11 %.

    Examples
    --------
    >>> level_of_look(1), level_of_look(2)
    (0.975, 0.9875)
    """
    if look < 1:
        raise ValueError("look must be 1 or more")
    return 1 - RISK * 0.5 ** min(look, 40)
