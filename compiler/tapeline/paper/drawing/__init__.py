"""The drawing model: strokes and words in millimetres, lettering, labels, signs, and one piece drawn with them."""
