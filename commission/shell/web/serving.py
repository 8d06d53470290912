"""Serves the page and a window for each connection: a process of its own, which ends with it."""

from __future__ import annotations

import asyncio
import json
import logging
from contextlib import suppress
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

from commission.base.errors import InputError
from commission.shell.web.door import FORBIDDEN
from commission.shell.web.page import KEYS, page

if TYPE_CHECKING:
    import socket
    from collections.abc import Awaitable, Callable, Mapping

    from aiohttp import web
    from aiohttp.typedefs import Middleware
    from textual_serve.app_service import AppService

    from commission.shell.web.door import Door
    from commission.ui.lifeline import Lifeline

PARTS = ("aiohttp", "textual_serve")
"""Modules of the extra."""
STOP_S = 3.0
"""How long a window may take to end [s] before it is ended; our choice: what is stored stands either way."""
LISTEN_S = 15.0
"""How often a browser is asked whether it is still there [s]; our choice."""
CELLS = (80, 24)
"""Columns and rows until the browser says how many it has."""
MOST_CELLS = 1000
"""Most columns or rows that are believed; our choice: a wall of screens has fewer."""


def refuse_without_extra() -> None:
    """Refuse where the packages of the extra are not installed.

    Raises
    ------
    InputError
        If one is missing.
    """
    if any(find_spec(part) is None for part in PARTS):
        raise InputError("the screens in a browser want textual-serve: install commission with its extra web")


def serve(door: Door, listening: socket.socket, command: str, lifeline: Lifeline) -> None:
    """Serve until Ctrl+C, or until the lifeline says that terminal or parent are gone."""
    from aiohttp import web
    from aiohttp.web_runner import GracefulExit

    def leave() -> None:
        raise GracefulExit

    logging.getLogger("aiohttp.server").addFilter(_of_our_own)
    loop = asyncio.new_event_loop()
    lifeline.on_lost = lambda _status: loop.call_soon_threadsafe(leave)
    web.run_app(
        application(door, command),
        sock=listening,
        loop=loop,
        handle_signals=False,
        shutdown_timeout=STOP_S + 1,
        print=None,
        access_log=None,  # it would print the key
    )


def _of_our_own(record: logging.LogRecord) -> bool:
    """Leave out what a stranger sent that is no HTTP: it is answered or not, and is no fault of the program."""
    from aiohttp.http_exceptions import HttpProcessingError

    return record.exc_info is None or not isinstance(record.exc_info[1], HttpProcessingError)


def application(door: Door, command: str) -> web.Application:
    """Return the server: a page, the files of the terminal on it, and its connections."""
    import textual_serve
    from aiohttp import web

    windows = _Windows(command)

    async def first_page(_request: web.Request) -> web.StreamResponse:
        return web.Response(text=page(door), content_type="text/html")

    async def keys(_request: web.Request) -> web.StreamResponse:
        return web.Response(text=KEYS, content_type="text/javascript")

    async def tell(_request: web.Request, answer: web.StreamResponse) -> None:
        answer.headers.update(door.headers())

    app = web.Application(middlewares=[_at_the_door(door)])
    app.add_routes(
        [
            web.get(f"/{door.key}/", first_page),
            web.get(f"/{door.key}/keys.js", keys),
            web.get(f"/{door.key}/ws", windows.open),
            web.static(f"/{door.key}/static", Path(textual_serve.__file__).with_name("static")),
        ]
    )
    app.on_response_prepare.append(tell)
    app.on_shutdown.append(windows.close_all)
    return app


def _at_the_door(door: Door) -> Middleware:
    """Return what every request meets first."""
    from aiohttp import web

    async def ask(
        request: web.Request, handler: Callable[[web.Request], Awaitable[web.StreamResponse]]
    ) -> web.StreamResponse:
        talks = "Upgrade" in request.headers or request.path.endswith("/ws")
        hosts, origins = (request.headers.getall(name, []) for name in ("Host", "Origin"))
        if not door.opens(request.path, hosts, origins, talks=talks):
            return web.Response(status=403, text=FORBIDDEN)
        return await handler(request)

    return web.middleware(ask)


class _Windows:
    """The connections that are open, each with a window behind it."""

    def __init__(self, command: str) -> None:
        self._command = command
        self._open: set[web.WebSocketResponse] = set()

    async def open(self, request: web.Request) -> web.StreamResponse:
        """Serve one connection to its end."""
        from aiohttp import web

        browser = web.WebSocketResponse(heartbeat=LISTEN_S)
        await browser.prepare(request)
        self._open.add(browser)
        try:
            await _one_window(browser, self._command, _cells(request.query))
        finally:
            self._open.discard(browser)
        return browser

    async def close_all(self, _app: web.Application) -> None:
        """Close every connection, so that its window ends."""
        await asyncio.gather(*(browser.close() for browser in set(self._open)))


async def _one_window(browser: web.WebSocketResponse, command: str, cells: tuple[int, int]) -> None:
    """Start a window, hand on what is typed and shown, and see to it that it has ended when the browser is gone."""
    from textual_serve.app_service import AppService
    from textual_serve.download_manager import DownloadManager

    async def show(drawn: bytes) -> None:
        with suppress(ConnectionError, RuntimeError):  # nobody looks any more: the window must not wait for that
            await browser.send_bytes(drawn)

    async def say(told: str) -> None:
        with suppress(ConnectionError, RuntimeError):
            await browser.send_str(told)

    async def close() -> None:
        await browser.close()

    service = AppService(command, write_bytes=show, write_str=say, close=close, download_manager=DownloadManager())
    await service.start(*cells)
    process = service._process
    assert process is not None  # it was started just now
    ended = asyncio.create_task(process.wait())
    ended.add_done_callback(lambda _: asyncio.ensure_future(close()))
    try:
        async for message in browser:
            await _hand_on(message.data, service)
    finally:
        try:
            await asyncio.wait_for(service.stop(), STOP_S)
            await asyncio.wait_for(asyncio.shield(ended), STOP_S)
        except TimeoutError:
            process.kill()


async def _hand_on(message: Any, service: AppService) -> None:
    """Hand one message of the browser on to its window; what the page would not send is left out."""
    try:
        match json.loads(message):
            case ["stdin", str(typed)]:
                await service.send_bytes(typed.encode("utf-8", "replace"))
            case ["resize", {"width": int(width), "height": int(height)}]:
                await service.set_terminal_size(_within(width), _within(height))
            case ["focus", *_]:
                await service.focus()
            case ["blur", *_]:
                await service.blur()
    except (ValueError, TypeError, RecursionError):
        return


def _cells(asked: Mapping[str, str]) -> tuple[int, int]:
    """Return the columns and rows that an address asks for."""
    return _typed_cells(asked.get("width", ""), CELLS[0]), _typed_cells(asked.get("height", ""), CELLS[1])


def _typed_cells(typed: str, usual: int) -> int:
    return _within(int(typed)) if typed.isascii() and typed.isdigit() and len(typed) < 6 else usual


def _within(cells: int) -> int:
    return max(1, min(cells, MOST_CELLS))
