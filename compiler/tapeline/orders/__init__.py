"""Clients' orders: small files that say what is drafted for whom, and what has become of each."""

SUFFIX = ".order"
