"""A screen as text, as SVG and as PNG, and golden files of the text."""

import os
import re
import shutil
import subprocess
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from textual.app import App
from textual.pilot import Pilot

GOLDEN = Path(__file__).parent / "golden"
SIZES = ((80, 24), (120, 40))
"""Sizes at which golden pictures are taken [columns, lines]: the usual terminal, and one with room."""
BETWEEN = (100, 30)
"""A size between them: the ladder stands beside a card that is hardly higher."""
SMALL = (60, 18)
"""The smallest window that shows the screens."""
CUT = re.compile(r".*[^\s]….*")
"""A row that is cut inside a word; a word that is longer than its room has none before it."""
UPDATE = "COMMISSION_UPDATE_GOLDEN"


def text_of(app: App[Any]) -> str:
    """The screen as lines without trailing spaces (the one place that uses the compositor's private name)."""
    return "\n".join(strip.text.rstrip() for strip in app.screen._compositor.render_strips()) + "\n"


async def settled(pilot: Pilot[Any]) -> str:
    """Wait until the screen stays as it is; return its text.

    The pilot waits until nothing is queued and nothing is left to paint (``tests/ui/quiet.py``), so one picture tells.
    """
    for _ in range(2):
        await pilot.pause()
    return text_of(pilot.app)


def same_as_golden(app: App[Any], name: str, *, but: Mapping[str, str] | None = None, now: str | None = None) -> None:
    """Compare with tests/ui/golden/NAME.txt; with COMMISSION_UPDATE_GOLDEN set, write it.

    ``now`` is the screen's text where it is known already. ``but`` names texts that may differ from one state of the
    program to the next, and what stands for each; every one of them must be on the screen.
    """
    path = GOLDEN / f"{name}.txt"
    now = text_of(app) if now is None else now
    for text, stands in (but or {}).items():
        assert text in now, f"{text!r} is not on the screen"
        now = now.replace(text, stands)
    if os.environ.get(UPDATE):
        GOLDEN.mkdir(exist_ok=True)
        path.write_text(now, encoding="utf-8")
    assert path.exists(), f"{path.name} is missing: look at the screen, then run with {UPDATE}=1"
    assert now == path.read_text(encoding="utf-8"), f"the screen differs from {path.name}:\n{now}"


async def same_at_each_size(pilot: Pilot[Any], name: str, *, between: bool = False) -> None:
    """Compare one state of the app with its golden picture at each size, from the one it has now to the larger one.

    ``between``: at the size between them too, as for the moments that are looked at most.
    """
    await pilot.resize_terminal(*SMALL)
    small = await settled(pilot)
    assert CUT.findall(small) == [], f"a word is cut in the smallest window:\n{small}"
    for width, height in (SIZES[0], BETWEEN, SIZES[1]) if between else SIZES:
        await pilot.resize_terminal(width, height)
        same_as_golden(pilot.app, f"{name}_{width}", now=await settled(pilot))


def fonts_present() -> bool:
    """Whether the fonts are here without which a picture has no text."""
    if shutil.which("fc-list") is None:
        return False
    listed = subprocess.run(["fc-list"], capture_output=True, text=True, check=False).stdout
    return "DejaVu Sans Mono" in listed


def svg_of(app: App[Any], path: Path) -> Path:
    """Write the screen as SVG."""
    path.write_text(app.export_screenshot(simplify=True), encoding="utf-8")
    return path


def png_of(app: App[Any], path: Path) -> Path | None:
    """Write the screen as PNG; None where the fonts are missing."""
    if not fonts_present():
        return None
    import resvg_py

    svg = svg_of(app, path.with_suffix(".svg"))
    png = resvg_py.svg_to_bytes(
        svg_path=str(svg),
        font_family="DejaVu Sans Mono",
        monospace_family="DejaVu Sans Mono",
        sans_serif_family="DejaVu Sans",
    )
    path.write_bytes(bytes(png))
    return path
