"""The proof page: one page for the screen, to check a draft by."""
