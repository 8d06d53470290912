"""Two leak limits by name, for those who would rather choose a word than a figure."""

from commission.base.frozen import Frozen

PUMP_PA = 20_000.0
"""Pressure that a pump adds in a loop [Pa gauge]; our choice: some two metres of water."""


class LeakClass(Frozen):
    """A limit with a name."""

    name: str
    """What it is called here; the names are our own."""
    limit_pa_m3_s: float
    """Largest leak of air that passes, at the test pressure [Pa·m3/s]."""
    water_m3_year: float
    """Most water that one hole of that size lets through in a year at 0.2 bar, the pressure of a pump [m3]."""
    text: str
    """Which class of which texts it is."""


CLASSES = (
    LeakClass(
        name="watertight",
        limit_pa_m3_s=1e-3,
        water_m3_year=1.8e-3,
        text="the class that leak-test texts call watertight: 1e-2 mbar·L/s of air",
    ),
    LeakClass(
        name="strict",
        limit_pa_m3_s=2e-4,
        water_m3_year=0.36e-3,
        text="a fifth of the class that leak-test texts call watertight: 2e-3 mbar·L/s of air",
    ),
)
"""The limits that are offered by name. Source: DGZfP leak-test committee, FAQ V9, second-hand (1e-2 mbar·L/s is called
watertight); the fifth of it is our choice: what an evening can prove with a fine gauge. The water is the same hole with
viscous flow at 0.2 bar and without surface tension, which would hold back most of it."""

WATERTIGHT_PA_M3_S = CLASSES[0].limit_pa_m3_s
"""The loosest limit by which a loop counts as watertight [Pa·m3/s]. Source: as above."""


def class_named(text: str) -> LeakClass | None:
    """Return the class of that name, or None.

    Examples
    --------
    >>> found = class_named(" Strict")
    >>> found.limit_pa_m3_s if found else None
    0.0002
    """
    return next((one for one in CLASSES if one.name == text.strip().casefold()), None)


def class_of(limit_pa_m3_s: float) -> LeakClass | None:
    """Return the class that a limit is, or None where it is a figure of somebody's own."""
    return next((one for one in CLASSES if abs(one.limit_pa_m3_s - limit_pa_m3_s) < 1e-9 * limit_pa_m3_s), None)


def looser_than_watertight(limit_pa_m3_s: float) -> bool:
    """Return whether a limit passes loops that let water out.

    Examples
    --------
    >>> looser_than_watertight(3e-3), looser_than_watertight(1e-3)
    (True, False)
    """
    return limit_pa_m3_s > WATERTIGHT_PA_M3_S * (1 + 1e-9)  # the last digit of a converted unit is the conversion's
