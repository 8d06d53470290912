"""Colours of the page: greys and one dark accent, so that it says the same when it is printed in grey.

No hue tells anything. Each text colour stands on each ground at 4.5 to 1 at least (WCAG 2.2, 1.4.3), each line at
3 to 1 (1.4.11); a test computes it.
"""

PAPER = "#ffffff"
"""Ground of the page."""
SHADE = "#f0f0f0"
"""Ground of heads of tables and of pictures' bands."""
INK = "#1b1b1b"
"""Text, and lines of pictures."""
QUIET = "#5a5a5a"
"""Text that stands back, and axes."""
ACCENT = "#0b4f5c"
"""Headings."""
BAND = "#d4d4d4"
"""Bands of pictures; their name stands beside them."""
