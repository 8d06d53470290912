"""What every part of the bleed knows beside what the fill knows: the verdict so far."""

from commission.stages.bleed.model import BleedVerdict
from commission.stages.fill.card.base import CoolantBase


class BleedBase(CoolantBase):
    """The build and its bleed as last read."""

    def forget(self) -> None:
        """Forget what was computed from the record as it was."""
        super().forget()
        self._verdict: BleedVerdict | None = None

    @property
    def verdict(self) -> BleedVerdict:
        """The verdict on the bleed as it stands."""
        if self._verdict is None:
            self._verdict = self.book.bleed.verdict(self.state)
        return self._verdict
