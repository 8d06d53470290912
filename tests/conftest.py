"""What all tests share: the same examples, the same surroundings, and one worker for each processor.

The examples are the same in every run, so that a change is judged by what it changes; they may be slow on a busy
machine, and a failure prints how to repeat it. ``--hypothesis-profile search`` looks for new ones, and takes the
numbers and texts that stand in our modules among its examples; else these would hang on what a worker has imported.
"""

import contextlib
import gc
import importlib
import os
import sys
from collections.abc import Generator
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis.internal.conjecture import providers

from tests.shell.arriving import arriving
from tests.surroundings import forget_variables, hand_on_usual_signals, keep_files_in_memory, move_usual_logbook

__all__ = ["arriving"]

settings.register_profile("house", deadline=None, print_blob=True, derandomize=True)
settings.register_profile("search", deadline=None, print_blob=True)
settings.load_profile("house")

gc.set_threshold(50_000, 20, 20)  # the collector of cycles looks less often: it took a quarter of the time

TESTS = Path(__file__).resolve().parent
MOST_WORKERS = 8
"""Each worker imports everything and takes some 400 MB: more of them gain nothing."""


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """Return how many workers ``-n auto`` means: one a processor; none for some files, or where there is only one."""
    if os.environ.get("PYTEST_XDIST_AUTO_NUM_WORKERS"):
        return None
    named = config.args_source is pytest.Config.ArgsSource.ARGS
    processors = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return 0 if named or processors == 1 else min(processors, MOST_WORKERS)


def pytest_configure(config: pytest.Config) -> None:
    """Give every test the same surroundings, whatever started it."""
    if not config.getoption("--hypothesis-profile"):
        vars(providers)["is_local_module_file"] = lambda _file: False
    hand_on_usual_signals()
    forget_variables()
    sys.dont_write_bytecode = False  # as in the processes that are started from here, see forget_variables
    keep_files_in_memory()
    config.add_cleanup(move_usual_logbook())


def pytest_collection(session: pytest.Session) -> None:
    """Let each worker begin at another file, so that each compiles a part and reads what the others have compiled."""
    worker, of = os.environ.get("PYTEST_XDIST_WORKER", ""), int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1"))
    if not worker:
        return
    asked = [Path(each.partition("::")[0]).resolve() for each in session.config.args]
    files = [each for each in sorted(TESTS.rglob("test_*.py")) if any(map(each.is_relative_to, asked))]
    first = len(files) * int(worker.removeprefix("gw")) // of
    for file in files[first:] + files[:first]:
        # what cannot be imported is told when it is collected
        with contextlib.suppress(Exception, pytest.skip.Exception):
            importlib.import_module(".".join(file.relative_to(TESTS.parent).with_suffix("").parts))


@pytest.hookimpl(wrapper=True)
def pytest_collect_file() -> Generator[None, list[pytest.Collector], list[pytest.Collector]]:
    """Look for tests in the files of this folder, not for examples in docstrings as well: the program has those."""
    found = yield
    return [each for each in found if type(each) is pytest.Module]


def pytest_collection_finish() -> None:
    """Let the collector of cycles leave alone what was imported."""
    gc.collect()
    gc.freeze()
