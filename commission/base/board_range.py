"""How large a figure of a board can be at all."""

MOST_SWEEP_RPM = 60_000.0
"""Speed above which a reading is a slip [rpm]; our choice: several times the fastest fan or pump that fits a case."""


MOST_MA = 20_000
"""Current of a header or chain above which a figure is a slip [mA]; our choice: several times the largest header."""
