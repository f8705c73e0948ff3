"""Tapeline: the drafting rules of a garment as text, compiled to true pattern pieces."""

from time import time as _time

STARTED = _time()  # before any other module of the program was loaded
__version__ = "0.1.0"
