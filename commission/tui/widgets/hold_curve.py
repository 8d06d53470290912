"""The curve of a hold: compensated readings, fitted decay, its band and the limit, told apart without colour."""

from collections.abc import Callable
from dataclasses import dataclass

from textual.widget import Widget

from commission.domain.hold import HoldPicture


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveAxes:
    """How the axes are written, in the reader's units."""

    time_text: Callable[[float], str]
    """Seconds to text."""
    pressure_text: Callable[[float], str]
    """Pascals to text; without the unit where `unit` gives it."""
    unit_pa: float = 1.0
    """One of the reader's units [Pa]: ticks stand at round numbers of it."""
    unit: str = ""
    """The reader's unit, written once above the curve."""


class HoldCurve(Widget):
    """A plot in braille dots, or in ASCII where the terminal asks for that."""

    def __init__(
        self,
        axes: CurveAxes | None = None,
        *,
        id: str | None = None,  # noqa: A002 - Textual's word
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self.axes = axes

    def show(self, picture: HoldPicture | None, *, empty: str = "", axes: CurveAxes | None = None) -> None:
        """Show a picture in place of the last; None shows the `empty` sentence."""
        raise NotImplementedError

    def append(self, elapsed_s: float, pressure_pa: float) -> None:
        """Add one compensated reading, relative to the same start as the picture, at the end."""
        raise NotImplementedError

    @property
    def summary(self) -> str:
        """What the curve shows, in words."""
        raise NotImplementedError
