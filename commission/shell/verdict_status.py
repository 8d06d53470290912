"""The exit status that stands for a verdict."""

from __future__ import annotations

from commission.base.verdict import Outcome

STATUS: dict[Outcome, int] = {Outcome.PASS: 0, Outcome.FAIL: 1, Outcome.INCONCLUSIVE: 3, Outcome.INVALID: 4}
"""Exit status that stands for a verdict."""
