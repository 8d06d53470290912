"""What stands on a flow's screen beside its card: a picture, a clock, or nothing."""

from typing import TYPE_CHECKING

from textual.widget import Widget

from commission.units.chosen import Chosen, units_now

if TYPE_CHECKING:
    from commission.ui.screens.base import BenchScreen


class Beside:
    """A picture and a clock that show what the flow of the screen knows; here there is neither."""

    plot: Widget | None = None
    clock: Widget | None = None
    _drawn: tuple[object, Chosen] | None = None

    def new(self, picture: object) -> bool:
        """Take a picture as drawn, and return whether it was not yet in the units of now."""
        before, self._drawn = self._drawn, (picture, units_now())
        return before is None or picture is not before[0] or before[1] != self._drawn[1]

    def mounted(self, screen: "BenchScreen") -> None:
        """Begin what goes on as long as the screen is there."""

    def shown(self) -> None:
        """Put on picture and clock what the flow knows; the card shows it already."""

    def tick(self, *, typing: bool) -> bool:
        """Move what moves with time, about once a second; return whether the card has something new to show.

        ``typing``: whether something stands in the line, so that what takes long can wait.
        """
        return False
