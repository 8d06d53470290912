"""Kinds of quantity, and a value of one of them with the text that was typed for it."""

from enum import StrEnum

from commission.base.frozen import Frozen

K95 = 2.0
"""What stands after a ± over the standard uncertainty, typed or shown: about 95 % [1]. Source: JCGM 100:2008, 6.3.3."""


class Quantity(StrEnum):
    """What a number means. Gauge and absolute pressure, and temperature and its difference, are never mixed."""

    GAUGE_PRESSURE = "gauge pressure"
    ABSOLUTE_PRESSURE = "absolute pressure"
    PRESSURE_DIFFERENCE = "pressure difference"
    TEMPERATURE = "temperature"
    TEMPERATURE_DIFFERENCE = "temperature difference"
    VOLUME = "volume"
    LENGTH = "length"
    DURATION = "duration"
    LEAK_RATE = "leak rate"
    ENERGY = "energy"
    MASS = "mass"
    DENSITY = "density"
    RATIO = "ratio"
    FLOW = "flow"
    POWER = "power"


class Measured(Frozen):
    """A value as it was typed and as it was understood."""

    quantity: Quantity
    """What kind of value it is."""
    si: float
    """The value in the SI unit of its quantity."""
    typed: str
    """The text as it was typed; kept for ever."""


class Amount(Frozen, kw_only=False):
    """A value inside a sentence: the reader's units are chosen where the sentence is shown."""

    quantity: Quantity
    """What kind of value it is."""
    si: float
    """The value in the SI unit of its quantity."""


class Phrase(Frozen, kw_only=False):
    """A sentence with amounts in it, such as ``"The upper bound {0} is within the limit {1}."``."""

    code: str
    """A stable word for programs, in the form ``past_or_present_fact``."""
    template: str
    """The sentence, with ``{0}``, ``{1}`` ... where the amounts go."""
    amounts: tuple[Amount, ...] = ()
    """The amounts, in the order of their numbers."""
