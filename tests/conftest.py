"""What all tests share: examples may be slow on a busy machine, and a failure prints how to repeat it."""

from hypothesis import settings

settings.register_profile("house", deadline=None, print_blob=True)
settings.load_profile("house")
