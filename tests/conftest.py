"""Settings of every test: the same examples on every machine, unless DRIPLOOP_EXPLORE asks for new ones."""

import os

from hypothesis import settings

settings.register_profile("same", derandomize=True, deadline=None, database=None)
settings.register_profile("explore", derandomize=False, deadline=None)
settings.load_profile("explore" if os.environ.get("DRIPLOOP_EXPLORE") else "same")
