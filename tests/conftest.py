"""What all tests share: the same examples, the same surroundings, and one worker for each processor.

The examples are the same in every run, so that a change is judged by what it changes; they may be slow on a busy
machine, and a failure prints how to repeat it. ``--hypothesis-profile search`` looks for new ones.
"""

import gc
import os

import pytest
from hypothesis import settings

from tests.cli.arriving import arriving
from tests.surroundings import forget_variables, hand_on_usual_signals, move_usual_logbook

__all__ = ["arriving"]

settings.register_profile("house", deadline=None, print_blob=True, derandomize=True)
settings.register_profile("search", deadline=None, print_blob=True)
settings.load_profile("house")

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
    hand_on_usual_signals()
    forget_variables()
    config.add_cleanup(move_usual_logbook())


def pytest_collection_finish() -> None:
    """Let the collector of cycles leave alone what was imported, and look less often: it took a quarter of the time."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 20)
