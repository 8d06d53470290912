"""Every key as a command of the palette, so that none must be remembered."""

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import TYPE_CHECKING, Protocol

from textual.app import SystemCommand

from commission.ui.stage_keys import stage_keys

if TYPE_CHECKING:
    from commission.bench.face import Face, ShopScreen
    from commission.record.ladder import StageState


class Keyed(Protocol):
    """What the keys of the app do."""

    build_id: str
    """The build that is open; empty where none is."""

    def action_go(self, name: str) -> None:
        """Go to a screen of the build."""

    def action_help(self) -> None:
        """Show the help over the screen."""

    def action_shade(self) -> None:
        """Put the next theme on."""

    def action_ring(self) -> None:
        """Let it ring, or not."""

    def action_step_back(self) -> None:
        """Go back a step."""

    def exit(self) -> None:
        """Leave the program."""


def key_commands(
    app: Keyed, shop: "Sequence[ShopScreen]", faces: "tuple[Face, ...]", rungs: "Sequence[StageState]"
) -> Iterator[SystemCommand]:
    """Yield the commands of the screen that is seen.

    Parameters
    ----------
    shop, faces
        The screens of the workshop, and the stages.
    rungs
        The stages of the build that is open; none where none is.
    """
    to = partial(partial, app.action_go)
    commands: list[tuple[str, str, Callable[[], None]]] = [
        ("Help", "What this screen is for, and the keys (F1)", app.action_help),
        *((one.title, one.told, to(one.name)) for one in shop),
        ("Theme", "Dark, light, white on black, sixteen colours (F6)", app.action_shade),
        ("Bell", "Ring when something falls due, or not (Ctrl+B)", app.action_ring),
        ("Back", "Leave a form, or go back to the builds (Esc)", app.action_step_back),
        ("Quit", "Quit the program; a hold goes on (ctrl+q)", app.exit),
    ]
    if app.build_id:
        commands[1:1] = [
            *((key.title, key.told, to(name)) for key, name in stage_keys(faces)),
            *((one.stage.title, f"A stage of this build: {one.word} (F3, F7, F8)", to(one.stage.id)) for one in rungs),
            ("Log", "Every entry of this build (F4)", to("record")),
            ("Report", "Hand out a report of this build (F12)", to("report")),
        ]
    for title, text, call in commands:
        yield SystemCommand(title, text, call)
