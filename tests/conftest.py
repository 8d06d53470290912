"""What all tests share: examples may be slow on a busy machine, and a failure prints how to repeat it.

The examples are the same in every run, so that a change is judged by what it changes. ``--hypothesis-profile search``
looks for new ones.
"""

from hypothesis import settings

settings.register_profile("house", deadline=None, print_blob=True, derandomize=True)
settings.register_profile("search", deadline=None, print_blob=True)
settings.load_profile("house")
