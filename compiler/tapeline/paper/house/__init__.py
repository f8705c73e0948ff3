"""The workshop that papers are made for: its ways, words and paper sizes, and the work that a paper is made from."""
