"""The sheet for making the garment up."""
