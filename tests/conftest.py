"""Generated tests draw the same examples each time, so that a failure is one of the change at hand.

EXPLORE=1 draws others, to look for what has not been met: do so after work on the geometry, and keep what it finds.

Papers that are made by commands bear one date in all tests, so that two of them can be compared.
"""

import os

from hypothesis import settings

os.environ["SOURCE_DATE_EPOCH"] = "1772454840"  # 2026-03-02 12:34, UTC

settings.register_profile("steady", derandomize=True, deadline=None)
settings.register_profile("explore", deadline=None)
settings.load_profile("explore" if os.environ.get("EXPLORE") else "steady")
