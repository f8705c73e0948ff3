"""The cutting list: pieces, cloth needed and notions."""
