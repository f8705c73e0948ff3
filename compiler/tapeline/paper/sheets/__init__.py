"""The drawing at true size: as SVG, as PDF for a plotter and in pages to tape together, and as a picture."""
