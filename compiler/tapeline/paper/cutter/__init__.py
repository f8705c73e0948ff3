"""Files for a cutter: pieces as DXF, and their grade rules."""
