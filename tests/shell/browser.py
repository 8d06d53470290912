"""Chromium without a window, told what to do over its own debugging protocol."""

import asyncio
import shutil
import subprocess
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
"""Where it is; None where it is not installed."""


class Tab:
    """One page of it, and all that it told."""

    def __init__(self, socket: Any) -> None:
        self.events: list[dict[str, Any]] = []
        self._socket = socket
        self._asked = 0

    async def do(self, method: str, **how: Any) -> dict[str, Any]:
        """Ask for something and return the answer."""
        self._asked += 1
        await self._socket.send_json({"id": self._asked, "method": method, "params": how})
        while True:
            told: dict[str, Any] = await self._socket.receive_json()
            if told.get("id") == self._asked:
                return told
            self.events.append(told)

    async def types(self, text: str) -> None:
        """Type a text and Enter."""
        await self.do("Input.insertText", text=text)
        enter = {"key": "Enter", "code": "Enter", "windowsVirtualKeyCode": 13}
        await self.do("Input.dispatchKeyEvent", type="keyDown", text="\r", **enter)
        await self.do("Input.dispatchKeyEvent", type="keyUp", **enter)

    async def becomes(self, expression: str) -> None:
        """Wait until an expression is true on the page."""
        while not (await self.do("Runtime.evaluate", expression=expression))["result"]["result"].get("value"):
            await asyncio.sleep(0.05)

    def told(self, method: str) -> list[dict[str, Any]]:
        """Return what the page told of one kind."""
        return [event["params"] for event in self.events if event["method"] == method]


@asynccontextmanager
async def chromium(folder: Path) -> AsyncIterator[Tab]:
    """Start it with a profile in a folder, and end it."""
    import aiohttp

    assert CHROMIUM is not None
    options = ("--headless=new", "--no-sandbox", "--disable-gpu", "--remote-debugging-port=0", "--window-size=1000,700")
    run = subprocess.Popen(
        [CHROMIUM, *options, f"--user-data-dir={folder}", "about:blank"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        said = folder / "DevToolsActivePort"
        while not said.exists() or len(said.read_text().split()) < 2:
            assert run.poll() is None, "chromium ended at once"
            await asyncio.sleep(0.05)
        at = f"http://127.0.0.1:{said.read_text().split()[0]}/json/list"
        async with aiohttp.ClientSession() as session:
            async with session.get(at) as answer:
                (page,) = (each for each in await answer.json() if each["type"] == "page")
            async with session.ws_connect(page["webSocketDebuggerUrl"], max_msg_size=0) as socket:
                tab = Tab(socket)
                for domain in ("Page", "Network", "Log", "Runtime"):
                    await tab.do(f"{domain}.enable")
                yield tab
    finally:
        run.terminate()
        run.wait()
