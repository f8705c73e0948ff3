"""Which program this is: its version, and the moment at which it was started, before any other module of it was loaded."""

from time import time

__version__ = "0.1.0"
STARTED = time()
