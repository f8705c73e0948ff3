"""The bodies that a style cannot take, and the ranges in which it is proved good."""
