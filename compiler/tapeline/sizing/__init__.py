"""Size runs: nests, grades, and which measurement moves which point."""
