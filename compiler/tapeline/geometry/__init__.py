"""Exact plane geometry for N bodies at once: segments, paths, motions, fair curves, meetings and roots."""
