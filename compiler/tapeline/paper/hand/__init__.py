"""The sheet for drawing the pieces by hand."""
