"""What a screen may ask of the app around it."""

from collections.abc import Awaitable, Callable, Sequence
from typing import Any, Protocol

from textual.screen import Screen

from commission.bench.ask import Flow
from commission.bench.face import Face
from commission.record.logbook import Logbook
from commission.ui.looks import Looks


class BenchApp(Protocol):
    """The app, as far as screens know it."""

    faces: tuple[Face, ...]
    """The stages."""
    looks: Looks
    """How one person likes it."""
    build_id: str
    """The build that is open; empty on the first screen."""

    @property
    def book(self) -> Logbook:
        """The logbook."""

    def flow_of(self, name: str, build_id: str) -> Flow | None:
        """Return what a screen asks and shows, as the record alone has it; None where no stage brings such a one."""

    def go(self, name: str, build_id: str, *, rest: Sequence[str] | None = None) -> None:
        """Go to a screen of a build, and take lines that were typed ahead along."""

    def go_out(self) -> None:
        """Go back to the stage that a key left for this screen, else to the builds."""

    def call_after_refresh(self, callback: Callable[..., Any], *args: Any) -> bool:
        """Call something once what changed is drawn."""

    def open_build(self, build_id: str, *, rest: Sequence[str] | None = None) -> None:
        """Open a build where its turn is, and take lines that were typed ahead along."""

    def went_wrong(self, word: str, *, where: str = "", seen: str = "", near: str | None = None) -> None:
        """Show the card of what went wrong over this screen."""

    def push_screen(self, screen: Screen[Any]) -> Awaitable[None]:
        """Show a screen over this one."""
