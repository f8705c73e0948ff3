"""Drafts under lock, and what has moved since."""
