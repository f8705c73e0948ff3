"""The papers of several sizes: the nest and the grading sheet."""
