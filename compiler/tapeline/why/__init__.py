"""Why a place of a draft lies where it lies: the rules behind it, their sums, and what moves it."""
