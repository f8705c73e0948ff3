"""What an editor asks of a text, as pure functions from a reading and a place to plain records."""
