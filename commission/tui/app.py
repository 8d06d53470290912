"""The program on the screen: one logbook, one screen at a time, and what all of them share."""

import asyncio
import contextlib
import os
import signal
from collections.abc import Callable, Iterable

from textual.app import App, SystemCommand
from textual.binding import Binding
from textual.screen import Screen

from commission.logbook.book import Logbook
from commission.tui.screens.base import BenchScreen
from commission.tui.screens.home import HomeScreen
from commission.tui.theme import dress

POLL_S = 1.0
"""How often another window's entries are looked for, and clocks moved [s]."""


def _warm() -> None:
    from commission.bootstrap import warm

    warm()


class CommissionApp(App[None], inherit_bindings=False):
    """The bench on the screen.

    Parameters
    ----------
    book
        The logbook; it stays open when the app ends.
    on_first_paint
        Called once the first screen is there.
    light, ascii_only
        How it is drawn at first.
    warm
        Starts the import of what the next screens need; called after the first paint.
    """

    CSS_PATH = "app.tcss"
    TITLE = "commission"
    ENABLE_COMMAND_PALETTE = True
    BINDINGS = [  # noqa: RUF012 - Textual's word
        Binding("escape", "step_back", "Back", key_display="Esc"),
        Binding("f1", "help", "Help", key_display="F1", priority=True),
        Binding("f2", "go('build_sheet')", "Sheet", key_display="F2", priority=True),
        Binding("f3", "go('pressure_hold')", "Hold", key_display="F3", priority=True),
        Binding("f4", "go('record')", "Record", key_display="F4", priority=True),
        Binding("f5", "go('instruments')", "Tools", key_display="F5", priority=True),
        Binding("f6", "shade", "Shade", key_display="F6", priority=True),
        Binding("ctrl+q", "quit", "Leave", key_display="Ctrl+Q", priority=True),
        Binding("ctrl+c", "help_quit", show=False, system=True),
    ]

    def __init__(
        self,
        book: Logbook,
        *,
        on_first_paint: Callable[[], None] | None = None,
        light: bool = False,
        ascii_only: bool = False,
        warm: Callable[[], None] = _warm,
    ) -> None:
        super().__init__()
        self.book = book
        self.build_id = ""
        """The build that is open; empty on the first screen."""
        self._on_first_paint = on_first_paint
        self._warm = warm
        dress(self, light=light, ascii_only=ascii_only)

    # --- life ------------------------------------------------------------------------------------------------

    def get_default_screen(self) -> Screen[None]:
        """Return the first screen."""
        return HomeScreen(self.book)

    def on_mount(self) -> None:
        """Listen to the system, and look about once a second."""
        loop = asyncio.get_running_loop()
        for name in ("SIGTERM", "SIGHUP"):
            number = getattr(signal, name, None)
            if number is not None:
                with contextlib.suppress(NotImplementedError, RuntimeError, ValueError):
                    loop.add_signal_handler(number, self.exit)
        self.set_interval(POLL_S, self._poll)
        self.call_after_refresh(self._painted)

    def _painted(self) -> None:
        if self._on_first_paint is not None:
            self._on_first_paint()
        self._warm()
        if isinstance(self.screen, HomeScreen):
            self.screen.painted()

    def _poll(self) -> None:
        """Show what another window recorded, and move the clocks."""
        screen = self.screen
        if not isinstance(screen, BenchScreen):
            return
        if self.book.changed():
            screen.reload()
        else:
            screen.tick()

    # --- from screen to screen -------------------------------------------------------------------------------

    def open_build(self, build_id: str) -> None:
        """Open a build where its turn is: at the sheet while it has no parts, else at its hold."""
        state = self.book.build(build_id)
        empty = not state.parts and state.volume is None and not state.holds
        self.go("build_sheet" if empty else "pressure_hold", build_id)

    def go(self, name: str, build_id: str) -> None:
        """Go to a screen of a build."""
        self.build_id = build_id
        screen = self._screen(name, build_id)
        if len(self.screen_stack) > 1:
            self.switch_screen(screen)
        else:
            self.push_screen(screen)

    def go_home(self) -> None:
        """Go back to the builds."""
        self.build_id = ""
        if len(self.screen_stack) > 1:
            self.pop_screen()

    def _screen(self, name: str, build_id: str) -> Screen[None]:
        match name:
            case "build_sheet":
                from commission.tui.screens.build_sheet import BuildSheetScreen

                return BuildSheetScreen(self.book, build_id)
            case "record":
                from commission.tui.screens.record import RecordScreen

                return RecordScreen(self.book, build_id)
            case "instruments":
                from commission.tui.screens.instruments import InstrumentsScreen

                return InstrumentsScreen(self.book)
            case _:
                from commission.tui.screens.pressure_hold import PressureHoldScreen

                return PressureHoldScreen(self.book, build_id)

    # --- keys ------------------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Leave out keys that lead nowhere from here."""
        screen = self.screen
        if not isinstance(screen, BenchScreen):
            return action not in ("help", "go", "step_back")
        if action == "go" and parameters and parameters[0] != "instruments":
            return bool(self.build_id) and screen.help_key != parameters[0]
        if action == "go":
            return screen.help_key != "instruments"
        return True

    def action_go(self, name: str) -> None:
        """Go to a screen of the build that is open."""
        self.go(name, self.build_id)

    def action_step_back(self) -> None:
        """Go back a step."""
        if isinstance(self.screen, BenchScreen):
            self.screen.step_back()

    def action_shade(self) -> None:
        """Change between dark and light."""
        dress(self, light=self.current_theme.dark, ascii_only=self.has_class("-ascii"))

    def action_help(self) -> None:
        """Lie the help of this screen over it."""
        from commission.tui.screens.help import OWN, HelpScreen

        screen = self.screen
        if not isinstance(screen, BenchScreen):
            return
        if screen.help_key in OWN:
            self.push_screen(HelpScreen(screen.help_key.replace("_", " "), OWN[screen.help_key]))
            return
        stage = self.book.procedure(self.book.build(self.build_id)).stage(screen.help_key)
        sources = dict.fromkeys([one.source for one in stage.cautions] + [one.source for one in stage.steps])
        self.push_screen(HelpScreen(stage.title, stage.help, tuple(sources)))

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """List every key as a command, so that none must be remembered."""
        commands = [
            ("Help", "What this screen is for, and the keys (F1)", self.action_help),
            (
                "Instruments",
                "Gauges, thermometers, barometers of the workshop (F5)",
                lambda: self.action_go("instruments"),
            ),
            ("Dark or light", "Change the colours (F6)", self.action_shade),
            ("Back", "Leave a form, or go back to the builds (Esc)", self.action_step_back),
            ("Leave", "Leave the program; a hold goes on (ctrl+q)", self.exit),
        ]
        if self.build_id:
            commands[1:1] = [
                ("Build sheet", "Parts of this build (F2)", lambda: self.action_go("build_sheet")),
                ("Pressure hold", "The hold of this build (F3)", lambda: self.action_go("pressure_hold")),
                ("Record", "Every entry of this build (F4)", lambda: self.action_go("record")),
            ]
        for title, text, call in commands:
            yield SystemCommand(title, text, call)


def no_colour() -> bool:
    """Return whether the environment asks for no colours; an empty value counts as not asked."""
    return bool(os.environ.get("NO_COLOR"))
