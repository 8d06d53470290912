"""Strategies that several tests share: any text, and text that is close to what a builder types."""

from hypothesis import strategies as st

from commission.base.quantity import Quantity

ANY_TEXT = st.text(max_size=60)
"""Any text at all, surrogates and controls among it."""

TYPED = st.text(
    alphabet=st.sampled_from(
        list("0123456789.,+-eE%±#:;'\"/ ·×−°_\t\x00\x1b\u00a0\u202e²³⁻¹") + list("mbarkPsiLlCFKHgnhd")
    ),
    max_size=30,
)
"""Text over the characters of numbers and units, where the slips are."""

_RIGHT = [
    "bar",
    "mbar",
    "kPa",
    "psi",
    "degC",
    "°C",
    "K",
    "L",
    "mL",
    "mm",
    '"',
    "min",
    "h",
    "mbar·L/s",
    "%",
    "J",
    "inHg",
    "g",
    "kg",
    "oz",
    "g/mL",
    "kg/m3",
]
_WRONG = ["Mbar", "BAR", "psia", "fl oz", "gal", "mbar*l/s", "sccm", "", "m", "/2 in"]
UNIT_WORDS = st.sampled_from([*_RIGHT, *_WRONG])
"""Units, right and wrong."""

NEARLY = st.builds(
    lambda a, gap, b: f"{a}{gap}{b}",
    st.one_of(st.floats(), st.integers(), st.decimals()).map(str) | TYPED,
    st.sampled_from(["", " ", "  ", "\u00a0"]),
    UNIT_WORDS | TYPED,
)
"""A number of any form and a unit of any kind."""

QUANTITIES = st.sampled_from(list(Quantity))
"""Every quantity."""
