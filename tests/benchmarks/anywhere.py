"""Runs the whole suite in clean clones under surroundings that are not this machine's: it must be green in each.

Run it by hand: ``python tests/benchmarks/anywhere.py`` (all), or with the names of some; ``--files tests/cli`` runs a
part. The last commit is cloned; the clone uses the packages of the interpreter that runs this.

* ``elsewhere``: another reported kernel, the zone of the Chatham Islands (12 h 45 min east), LANG=C, no terminal type,
  files that only their owner reads, and started by nohup in a session of its own with the interrupt signal ignored
* ``german``: LANG=de_DE.UTF-8 (made with localedef where the system has none), the zone of Newfoundland
* ``nobody``: as the user nobody, without a home (only root can hand its rights away)
* ``busy``: twice as many endless loops as processors while it runs
* ``one``: one processor, so without parallel workers
"""

import argparse
import contextlib
import os
import shutil
import signal
import subprocess
import sys
import sysconfig
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
GERMAN = "de_DE.UTF-8"


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """What is different there."""

    env: dict[str, str] = field(default_factory=dict)
    """Variables [name to value]."""
    wrap: tuple[str, ...] = ()
    """Commands before the tests' own."""
    umask: int = 0o022
    """Rights that new files do not get."""
    detached: bool = False
    """Whether it runs in a session of its own, with the signals ignored that nohup and background shells ignore."""
    loops: int = 0
    """How many endless loops run meanwhile."""
    nobody: bool = False
    """Whether the clone belongs to the user nobody."""
    processors: int = 0
    """On how many processors it may run; 0 for all."""


def places(folder: Path) -> dict[str, Surroundings]:
    """Return all surroundings that this system can make."""
    kernel = ("setarch", "--uname-2.6") if shutil.which("setarch") else ()
    found = {
        "elsewhere": Surroundings(
            env={"TZ": "Pacific/Chatham", "LANG": "C", "LC_ALL": "C", "TERM": "", "PYTHONHASHSEED": "7"},
            wrap=kernel, umask=0o077, detached=True,
        ),
        "german": Surroundings(env={"TZ": "America/St_Johns", "LANG": GERMAN, "LC_ALL": GERMAN} | german(folder)),
        "busy": Surroundings(loops=2 * (os.cpu_count() or 1)),
        "one": Surroundings(processors=1),
    }  # fmt: skip
    if hasattr(os, "geteuid") and os.geteuid() == 0 and shutil.which("runuser"):
        found["nobody"] = Surroundings(
            wrap=("runuser", "-u", "nobody", "--"), env={"HOME": "/nonexistent"}, nobody=True
        )
    return found


def german(folder: Path) -> dict[str, str]:
    """Return what finds the German locale: nothing where it is installed, else where it was made."""
    installed = subprocess.run(["locale", "-a"], capture_output=True, text=True, check=False).stdout.lower()
    if "de_de.utf" in installed:
        return {}
    made = subprocess.run(
        ["localedef", "-i", "de_DE", "-f", "UTF-8", str(folder / GERMAN)], capture_output=True, check=False
    )
    if made.returncode != 0 and not (folder / GERMAN).is_dir():
        print("no German locale here and none can be made: the variables are set, the locale stays the C one")
    return {"LOCPATH": str(folder)}


def interpreter(place: Surroundings) -> str:
    """Return an interpreter of this version that whoever runs the tests may start."""
    for found in (sys.executable, "/usr/local/bin/python3", "/usr/bin/python3"):
        asked = [*place.wrap, found, "-c", "import sys; print(*sys.version_info[:2])"]
        told = subprocess.run(asked, capture_output=True, text=True, check=False).stdout.split()
        if told == [str(part) for part in sys.version_info[:2]]:
            return found
    raise SystemExit(f"no interpreter of this version can be started by: {' '.join(place.wrap)}")


def clone(folder: Path, place: Surroundings) -> Path:
    """Clone the last commit, with an interpreter that sees the clone and the packages that are here."""
    subprocess.run(["git", "clone", "-q", str(TOP), str(folder)], check=True)
    subprocess.run([interpreter(place), "-m", "venv", "--without-pip", str(folder / ".venv")], check=True)
    packages = Path(sysconfig.get_path("purelib", vars={"base": str(folder / ".venv")}))
    seen = [path for path in sys.path if path.endswith("site-packages")]
    (packages / "here.pth").write_text("\n".join([str(folder), *seen]) + "\n", encoding="utf-8")
    if place.nobody:
        folder.parent.chmod(0o755)
        subprocess.run(["chown", "-R", "nobody", str(folder)], check=True)
    return folder / ".venv" / "bin" / "python"


def prepare(place: Surroundings) -> Callable[[], None]:
    """Return what the new process does before it becomes the tests."""

    def run() -> None:
        os.umask(place.umask)
        if place.detached:
            signal.signal(signal.SIGINT, signal.SIG_IGN)
            signal.signal(signal.SIGHUP, signal.SIG_IGN)
        if place.processors:
            os.sched_setaffinity(0, sorted(os.sched_getaffinity(0))[: place.processors])

    return run


@contextlib.contextmanager
def busy(loops: int) -> Iterator[None]:
    """Keep processors busy."""
    made = [subprocess.Popen([sys.executable, "-c", "while True: pass"]) for _ in range(loops)]
    try:
        yield
    finally:
        for one in made:
            one.kill()
            one.wait()


def tried(name: str, place: Surroundings, files: list[str]) -> bool:
    """Run the suite there; say how it ended."""
    began = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="anywhere-") as made, busy(place.loops):
        folder = Path(made) / "clone"
        python = clone(folder, place)
        command = [*place.wrap, str(python), "-m", "pytest", "-q", *files]
        print(f"== {name}: {' '.join((*place.wrap, 'pytest', *files))}", flush=True)
        with tempfile.TemporaryFile() as told:
            status = subprocess.run(
                command, cwd=folder, env=os.environ | place.env, preexec_fn=prepare(place), check=False,
                start_new_session=place.detached, stdin=subprocess.DEVNULL, stdout=told, stderr=subprocess.STDOUT,
            ).returncode  # fmt: skip
            told.seek(0)
            lines = told.read().decode(errors="replace").splitlines()
    print("\n".join(lines if status else lines[-1:]))
    print(f"== {name}: {'green' if status == 0 else 'RED'} after {time.monotonic() - began:.0f} s", flush=True)
    return status == 0


def main() -> int:
    """Try the surroundings that are named, or all."""
    parser = argparse.ArgumentParser(description="Run the tests under other surroundings.")
    parser.add_argument("names", nargs="*")
    parser.add_argument("--files", nargs="+", default=[])
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="locale-") as folder:
        Path(folder).chmod(0o755)
        known = places(Path(folder))
        if unknown := set(asked.names) - set(known):
            parser.error(f"there is no {', '.join(sorted(unknown))} here; known: {', '.join(known)}")
        ended = [tried(name, known[name], asked.files) for name in asked.names or known]
    return 0 if all(ended) else 1


if __name__ == "__main__":
    sys.exit(main())
