"""The program on the screen: one logbook, one screen at a time, and what all of them share."""

import asyncio
from collections.abc import Callable, Iterable, Sequence
from importlib import import_module
from typing import TYPE_CHECKING, Any

from textual import on
from textual.app import SystemCommand
from textual.binding import Binding
from textual.message import Message
from textual.screen import Screen

from commission.base.errors import CommissionError
from commission.bench.unsent_kept import Beside, KeptUnsent
from commission.ui.keys_in_order import KeysInOrder
from commission.ui.lifeline import stay_when_in_the_background
from commission.ui.looks import Looks
from commission.ui.opened import NotOpened, Opened
from commission.ui.screens.base import BenchScreen
from commission.ui.screens.home import HomeScreen
from commission.ui.stage_keys import bind_keys, key_lines
from commission.ui.theme import dress, theme_after
from commission.units.chosen import use_units

if TYPE_CHECKING:
    from commission.bench.ask import Flow
    from commission.bench.face import Face, ShopScreen
    from commission.bench.job import Job
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook

POLL_S = 1.0
"""How often another window's entries are looked for, and clocks moved [s]."""

AT_HOME = 1
"""Screens on the stack when the builds are seen: theirs is the first."""

WARM_S = 1.0
"""How long no key must have come before what comes next is imported [s]; our choice: longer than between two words."""


def _warm(modules: Iterable[str]) -> None:
    from commission.bootstrap import warm

    warm(modules)


class CommissionApp(KeysInOrder, inherit_bindings=False):
    """The bench on the screen.

    Parameters
    ----------
    opener
        Opens the logbook; called once, in a thread, when the first screen is painted, since what it loads would hold
        that up. The logbook stays open when the app ends.
    job
        The stages; they are loaded with the logbook.
    names
        Id and name of the builds, for the first picture.
    on_first_paint
        Called once the first screen is there.
    ascii_only
        Whether nothing but ASCII is drawn.
    beside, looks
        Keep until the next start what is typed and no entry yet, and how it looks; None: nobody does.
    warm
        Starts the import of what the next screens need, given what the stages name; called once, after a second without
        keys.
    """

    CSS_PATH = "app.tcss"
    TITLE = "commission"
    ENABLE_COMMAND_PALETTE = True
    BINDINGS = [  # noqa: RUF012 - Textual's word
        Binding("escape", "step_back", "Back", key_display="Esc"),
        Binding("f1", "help", "Help", key_display="F1", priority=True),
        Binding("f3", "turn", "Stage", key_display="F3", priority=True),
        Binding("f4", "go('record')", "Log", key_display="F4", priority=True),
        Binding("f6", "shade", "Theme", key_display="F6", priority=True),
        Binding("ctrl+b", "ring", "Bell", key_display="Ctrl+B", priority=True),
        Binding("f7", "walk(-1)", "Stage before", key_display="F7", priority=True, show=False),
        Binding("f8", "walk(1)", "Stage after", key_display="F8", priority=True, show=False),
        Binding("f12", "go('report')", "Report", key_display="F12", priority=True),
        Binding("ctrl+q", "quit", "Quit", key_display="Ctrl+Q", priority=True),
        Binding("ctrl+c", "help_quit", show=False, system=True),
    ]

    def __init__(
        self,
        opener: "Callable[[], Logbook]",
        *,
        job: "Job",
        names: Sequence[tuple[str, str]] = (),
        on_first_paint: Callable[[], None] | None = None,
        ascii_only: bool = False,
        warm: Callable[[Iterable[str]], None] = _warm,
        beside: Beside | None = None,
        looks: Looks | None = None,
    ) -> None:
        super().__init__()
        self.failure: CommissionError | None = None
        """Why the logbook could not be opened; the app has ended then."""
        self.build_id = ""
        """The build that is open; empty on the first screen."""
        self._opener = opener
        self._home = HomeScreen(names)
        self._job = job
        self.faces: tuple[Face, ...] = ()
        """The stages; none before there is a logbook."""
        self._shop: dict[str, ShopScreen] = {}
        self._left_stage = ""
        self._book: Logbook | None = None
        self._unsent = KeptUnsent(beside)
        self._running_loop: asyncio.AbstractEventLoop | None = None
        self._on_first_paint = on_first_paint
        self._warm = warm
        self.looks = looks or Looks()
        use_units(self.looks.units, of_bare=True)
        dress(self, ascii_only=ascii_only, theme=self.looks.theme)

    # --- life ------------------------------------------------------------------------------------------------

    @property
    def book(self) -> "Logbook":
        """The logbook; nothing asks for it before it was opened."""
        assert self._book is not None  # keys that need it wait until it is handed over
        return self._book

    def get_default_screen(self) -> Screen[None]:
        """Return the builds: only their names at first."""
        return self._home

    @property
    def opening(self) -> bool:
        """Whether the logbook is still being opened: until then only text can be typed."""
        return self._book is None

    def on_mount(self) -> None:
        """Look about once a second."""
        self._running_loop = asyncio.get_running_loop()
        self.set_interval(POLL_S, self._poll)
        self.call_after_refresh(self._painted)

    def lost(self, status: int) -> None:
        """End the screens with a status, since terminal or parent is gone; may be called from any thread."""
        loop = self._running_loop
        if loop is not None:
            loop.call_soon_threadsafe(self._end_lost, status)

    def _end_lost(self, status: int) -> None:
        stay_when_in_the_background()
        self.exit(return_code=status)

    def _painted(self) -> None:
        if self._on_first_paint is not None:
            self._on_first_paint()
        self.run_worker(self._open, thread=True)

    def _open(self) -> None:
        """Open the logbook beside the event loop, and load what the screen of the builds asks it with."""
        try:
            book = self._opener()
            faces = self._job.stages()
        except CommissionError as error:
            self.post_message(NotOpened(error))
            return
        import_module("commission.bench.home")
        self.post_message(Opened(book, faces))

    @on(NotOpened)
    def _cannot_go_on(self, event: NotOpened) -> None:
        self.failure = event.why
        self.exit(return_code=2)

    @on(Opened)
    async def _hand_over(self, event: Opened) -> None:
        """Let the builds have the logbook, and then what was typed meanwhile."""
        self._have(event.book, event.faces)
        self._home.hand_over(event.book, event.faces)
        self._take_up_unsent()
        self.refresh_bindings()
        await self.go_on()
        self.set_timer(WARM_S, self._warm_when_quiet)

    def _have(self, book: "Logbook", faces: "tuple[Face, ...]") -> None:
        self._book, self.faces = book, faces
        self._shop = {shop.name: shop for face in faces for shop in face.shop}
        bind_keys(self._bindings, faces)

    def _warm_when_quiet(self) -> None:
        """Import what comes next once nobody types: it would hold up each key."""
        left = WARM_S - (Message().time - self.last_key_s)
        if left <= 0:
            self._warm([name for face in self.faces for name in face.heavy])
        else:
            self.set_timer(left, self._warm_when_quiet)

    def _poll(self) -> None:
        """Show what another window recorded, and move the clocks."""
        if not self.screen_stack:  # the clock may tick once more while the screens are taken down
            return
        self._keep_unsent()
        screen = self.screen
        if not isinstance(screen, BenchScreen) or self._book is None:
            return
        if self.book.read_only_because and self.book.take_over():
            self._unsent.load()
            screen.taken_over()
        elif self.book.changed():
            screen.tell_read_only()
            screen.reload()
        else:
            screen.tick()
        self.looks.tell(self, screen.times(), screen.title_text())

    # --- from screen to screen -------------------------------------------------------------------------------

    def open_build(self, build_id: str, *, rest: Sequence[str] | None = None) -> None:
        """Open a build where its turn is: at the stage that is next, unless another comes before all."""
        from commission.bench.needs import opens_at  # here: the logbook loads after the first picture

        self.go(opens_at(self.book, self.faces, self.book.build(build_id)), build_id, rest=rest)

    def _turn(self, state: "BuildState") -> str:
        """Return the stage whose turn it is."""
        from commission.bench.needs import turn_of  # here: the logbook loads after the first picture

        return turn_of(self.book, state)

    def go(self, name: str, build_id: str, *, rest: Sequence[str] | None = None) -> None:
        """Go to a screen of a build.

        Parameters
        ----------
        rest
            Lines that were typed ahead and are meant for what comes; None where the screen is left by a key: then its
            unsent text waits there until one comes back.
        """
        from commission.ui.screens.made import screen_of  # here: the first picture needs no other screen

        if rest is None:
            self._leave()
        self._remember_stage(name)
        self.build_id = build_id
        screen = screen_of(self, name, build_id)
        screen.take_up(self.book, self._unsent.take((screen.help_key, build_id)))
        if rest:
            screen.typed.rest = [*screen.typed.rest, *rest]
        if len(self.screen_stack) > AT_HOME:
            self.switch_screen(screen)
        else:
            self.push_screen(screen)

    def went_wrong(self, word: str, *, where: str = "", seen: str = "", near: str | None = None) -> None:
        """Show the card of what went wrong over this screen; what stands in its line stays there."""
        from commission.bench.mishap.told import Told
        from commission.ui.screens.went_wrong import WentWrongScreen

        below = self.screen
        told = Told(
            what=word, build_id=self.build_id, where=where, proposal=seen or ("the paper was wet" if where else None)
        )

        def leave(said: str) -> None:
            self.pop_screen()
            if isinstance(below, BenchScreen):
                below.typed.go_on(said)

        self.push_screen(WentWrongScreen(self.book, told, near=near, leave=leave))

    def _remember_stage(self, there: str) -> None:
        """Remember the stage that is left for something beside the stages; another stage takes its place."""
        stages = {stage.id for stage in self.book.new_procedure.stages}
        if there in stages:
            self._left_stage = ""
        elif isinstance(self.screen, BenchScreen) and self.screen.help_key in stages:
            self._left_stage = self.screen.help_key

    def go_out(self) -> None:
        """Go back to the stage that a key left for this screen, else to the builds."""
        if self._left_stage:
            self.go(self._left_stage, self.build_id)
            return
        self._leave()
        left, self.build_id = self.build_id, ""
        if len(self.screen_stack) > AT_HOME:
            self.pop_screen()
        self._home.point_at(left)

    def _leave(self) -> None:
        """Remember what was typed on this screen and not entered."""
        if isinstance(self.screen, BenchScreen) and len(self.screen_stack) > AT_HOME:
            self._unsent.leave((self.screen.help_key, self.build_id), self.screen.unsent())

    def _keep_unsent(self) -> None:
        """Write down what is typed and no entry yet."""
        if self._book is not None and not self.book.read_only_because:
            at = [one for one in self.screen_stack if isinstance(one, BenchScreen)]
            self._unsent.save({(one.help_key, "" if one is self._home else self.build_id): one.unsent() for one in at})

    def _take_up_unsent(self) -> None:
        """Put back what was typed and no entry yet when the window was closed."""
        if not self.book.read_only_because:
            self._unsent.load()
            here = self._unsent.take((self._home.help_key, ""))
            if here.lines:
                self._home.typed.take_up([*self._home.typed.rest, *here.lines], old=here.old)

    def exit(self, result: None = None, return_code: int = 0, message: Any = None) -> None:
        """Leave the program; what is typed and no entry yet is kept for the next time."""
        self._keep_unsent()
        super().exit(result, return_code, message)

    def flow_of(self, name: str, build_id: str) -> "Flow | None":
        """Return what a screen asks and shows, as the record alone has it; None where no stage brings such a one."""
        from commission.bench.face import face_of

        face, shop = face_of(self.faces, name), self._shop.get(name)
        if face is not None:
            return face.flow(self.book, build_id)
        return shop.flow(self.book) if shop is not None else None

    # --- keys ------------------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Leave out keys that lead nowhere from here."""
        screen = self.screen
        if not isinstance(screen, BenchScreen):
            return action not in ("help", "go", "step_back")
        if self._book is None:
            return action in ("quit", "shade")
        if action == "ring":
            return screen.times() is not None
        if screen.help_key == "went_wrong" and action in ("go", "turn", "walk"):
            return False
        if action == "go" and parameters and parameters[0] not in self._shop:
            return bool(self.build_id) and screen.help_key != parameters[0]
        if action == "go" and parameters:
            return screen.help_key != parameters[0]
        if action == "turn":
            return bool(self.build_id) and screen.help_key != self._turn(self.book.build(self.build_id))
        return bool(self.build_id) if action == "walk" else True

    def action_go(self, name: str) -> None:
        """Go to a screen of the build that is open."""
        self.go(name, self.build_id)

    def action_turn(self) -> None:
        """Go to the stage whose turn it is."""
        self.go(self._turn(self.book.build(self.build_id)), self.build_id)

    def action_walk(self, by: int) -> None:
        """Go to the stage before or after this one; from another screen, beside the one whose turn it is."""
        state = self.book.build(self.build_id)
        ids = [rung.stage.id for rung in self.book.ladder(state)]
        here = self.screen.help_key if isinstance(self.screen, BenchScreen) else ""
        at = ids.index(here if here in ids else self._turn(state))
        there = ids[max(0, min(len(ids) - 1, at + by))]
        if there != here:
            self.go(there, self.build_id)

    def action_step_back(self) -> None:
        """Go back a step."""
        if isinstance(self.screen, BenchScreen):
            self.screen.step_back()

    def action_shade(self) -> None:
        """Put the next theme on, and keep it: dark, light, white on black, sixteen colours."""
        self.theme = theme_after(self.theme)
        self.looks.choose(theme=self.theme)

    def action_ring(self) -> None:
        """Let it ring when something falls due, or not."""
        self.looks.choose(bell=not self.looks.bell)
        self.refresh_bindings()

    def action_help(self) -> None:
        """Show the help of this screen over it."""
        from commission.ui.screens.help import help_of

        screen = self.screen
        if isinstance(screen, BenchScreen):
            self.push_screen(help_of(screen, self.book, self.build_id, key_lines(self.faces)))

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """List every key as a command, so that none must be remembered."""
        from commission.ui.key_commands import key_commands

        rungs = self.book.ladder(self.book.build(self.build_id)) if self.build_id else ()
        yield from key_commands(self, tuple(self._shop.values()), self.faces, rungs)
