"""How long a start takes, as ratios within one run.

Run it by hand: ``python -m tests.benchmarks.startup``. Processes are started turn and turn about, the median counts.

* ``--version`` against ``python -c pass``: limit 4
* first screen of the program, on the demo workshop, against the first screen of an empty Textual app, both in a
  pseudo-terminal of 100 x 30, from the start of the process to the marker text: limit 1.25
* first typed text, against the same of a small Textual app with a line to type in: a word is typed once the marker text
  is seen, and the time is taken from the start of the process until the word stands on the screen: limit 1.4
* states of the builds in ``commission demo``, which makes its logbook first, against those of the program: limit 2
"""

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from tests.shell.running import command, environment, ran

RUNS = 11
VERSION_LIMIT = 4.0
SCREEN_LIMIT = 1.25
TYPED_LIMIT = 1.4
DEMO_LIMIT = 2.0
WORD = "xyz"
"""What is typed first; it stands in no name of the demo workshop."""
EMPTY = """
from textual.app import App
from textual.widgets import Footer, Header, Static

class Empty(App):
    def compose(self):
        yield Header(icon="=")
        yield Static("Window desk")
        yield Footer()

Empty().run()
"""
SMALL = EMPTY.replace("Footer, Header", "Footer, Header, Input").replace(
    "        yield Footer()", "        yield Input()\n        yield Footer()"
)


def seconds(arguments: list[str]) -> float:
    """Return how long a process takes to its end."""
    began = time.perf_counter()
    subprocess.run(arguments, env=environment(), stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - began


def seconds_to_text(arguments: list[str], text: str, logbook: Path, *, typed: str = "") -> float:
    """Return how long a process in a pseudo-terminal takes until its screen shows a text, and then what is typed."""
    import pexpect
    import pyte

    screen = pyte.Screen(100, 30)
    stream = pyte.ByteStream(screen)
    began = time.perf_counter()
    env = environment(logbook, {"TERM": "xterm-256color", "TMPDIR": str(logbook.parent)})
    child = pexpect.spawn(arguments[0], arguments[1:], env=env, dimensions=(30, 100))
    try:
        for wanted in filter(None, (text, typed)):
            if wanted is typed:
                child.send(typed)
            while not any(wanted in line for line in screen.display):
                stream.feed(child.read_nonblocking(65_536, timeout=30))
        return time.perf_counter() - began
    finally:
        child.sendcontrol("q")
        child.close(force=True)


def ratio(name: str, ours: Callable[[], float], theirs: Callable[[], float], limit: float) -> bool:
    """Measure both turn and turn about, print the ratio of their medians, and return whether it is within the limit."""
    ours(), theirs()  # the first start of each fills the caches
    pairs = [(ours(), theirs()) for _ in range(RUNS)]
    mine, other = (statistics.median(column) for column in zip(*pairs, strict=True))
    found = mine / other
    print(f"{name}: {mine * 1000:.0f} ms / {other * 1000:.0f} ms = {found:.2f} (limit {limit})")
    return bool(found <= limit)


def main() -> int:
    """Print the ratios; return 0 if all are within their limits."""
    python = sys.executable
    good = ratio(
        "--version / python -c pass",
        lambda: seconds(command("--version")),
        lambda: seconds([python, "-c", "pass"]),
        VERSION_LIMIT,
    )
    print(f"--help: {seconds(command('--help')) * 1000:.0f} ms")
    if os.name == "posix":
        with tempfile.TemporaryDirectory() as folder:
            logbook = Path(folder) / "workshop.logbook"
            sample = Path(__file__).parents[2] / "sample_logs" / "workshop.jsonl"
            assert ran("import", str(sample), logbook=logbook).status == 0
            good &= ratio(
                "first screen / empty app",
                lambda: seconds_to_text(command("ui"), "Window desk", logbook),
                lambda: seconds_to_text([python, "-c", EMPTY], "Window desk", logbook),
                SCREEN_LIMIT,
            )
            good &= ratio(
                "first typed text / small app",
                lambda: seconds_to_text(command("ui"), "Window desk", logbook, typed=WORD),
                lambda: seconds_to_text([python, "-c", SMALL], "Window desk", logbook, typed=WORD),
                TYPED_LIMIT,
            )
            good &= ratio(
                "states of the builds, demo / program",
                lambda: seconds_to_text(command("demo"), "stale", logbook),
                lambda: seconds_to_text(command("ui"), "stale", logbook),
                DEMO_LIMIT,
            )
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
