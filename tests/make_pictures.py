"""Makes sample_logs/pictures/*.svg, which the README shows: real screens of the demo workshop at 80 by 24.

Run ``python tests/make_pictures.py`` from the top folder to make them again. The clock stands still.
"""

import asyncio
import re
import sys
import tempfile
from pathlib import Path

from textual.pilot import Pilot

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from commission.__main__ import job
from commission.bootstrap import SAMPLE, glance, import_bundle
from commission.shell.screens import ABOUT
from commission.ui.app import CommissionApp
from commission.ui.screens.home import HomeScreen
from tests.fakes import HandClock
from tests.make_sample_logs import FOLDER
from tests.registered import REGISTRY, open_logbook
from tests.ui.bench import until
from tests.ui.pictures import settled

TARGET = FOLDER / "pictures"
SHOWN_MS = 1_774_173_600_000
"""2026-03-22 10:00 UTC: the day after the last entry of the workshop."""
PICTURES = {"builds": "", "hold-running": "North shelf", "hold-failed": "Guest cube"}
"""Each picture by its name, with the build that is opened for it."""


def drawn(svg: str) -> str:
    """Return a picture with text inside that fetches no font from anywhere."""
    svg = re.sub(r"@font-face \{.*?\}\s*", "", svg, flags=re.DOTALL)
    return re.sub(r"font-family: Fira Code", "font-family: 'DejaVu Sans Mono', Consolas, Menlo", svg)


def text_in(svg: str) -> str:
    """Return the text of a picture in one piece: where the cursor blinks, it is parted differently."""
    return "".join(re.findall(r"<text [^>]*>(.*?)</text>", svg, flags=re.DOTALL))


async def looked_at(pilot: Pilot[None]) -> None:
    """Wait until the first screen knows of every build what it needs."""
    home = pilot.app.screen
    assert isinstance(home, HomeScreen)
    await until(
        pilot,
        lambda: home.opened and all(home.flow.known(row.build_id) for row in home.flow.builds),
        "the builds are not known",
    )
    await settled(pilot)


async def pictures(folder: Path) -> dict[str, str]:
    """Return each picture by its name; the logbook is made in a folder."""
    path, clock = folder / "demo.logbook", HandClock(wall_ms=SHOWN_MS)
    import_bundle(FOLDER / SAMPLE, path, REGISTRY)
    book = open_logbook(path, clock=clock).book

    def behind(seconds: float) -> None:
        clock.run((SHOWN_MS - clock.wall_ms) / 1000 - seconds)

    for face in job().stages():
        face.sample(book, behind)
    behind(0)
    app = CommissionApp(lambda: book, job=job(), names=glance(path))
    app.sub_title = ABOUT
    found = {}
    try:
        async with app.run_test(size=(80, 24)) as pilot:
            await looked_at(pilot)
            for name, build in PICTURES.items():
                if build:
                    app.open_build(book.find_build(build))
                await settled(pilot)
                found[name] = drawn(app.export_screenshot(title="commission"))
    finally:
        book.close()
    return found


def main() -> None:
    """Write the pictures."""
    TARGET.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        for name, svg in asyncio.run(pictures(Path(folder))).items():
            (TARGET / f"{name}.svg").write_text(svg, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
