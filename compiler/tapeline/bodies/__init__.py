"""Bodies: what is measured, cards of one body's measurements, and tables of sizes."""
