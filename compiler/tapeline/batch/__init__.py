"""Streams of bodies, drafted in order on as many processes as there are."""
