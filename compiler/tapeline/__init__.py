"""Tapeline: the drafting rules of a garment as text, compiled to true pattern pieces."""

__version__ = "0.1.0"
