"""The language server, and the page that speaks to it."""
