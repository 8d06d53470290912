"""What every test of a screen needs."""

from tests.ui.conftest import *  # noqa: F403
