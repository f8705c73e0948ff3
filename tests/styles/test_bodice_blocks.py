"""The blocks for bodices, sleeves and corsets, on both cards and on real women.

`ansur2_women_60.csv` (see test_shipped.py) lacks some measures.  They are filled in here, so these bodies are near to
real ones, not measured throughout:

- waist, waist level, back length: from the navel to the natural waist by the differences of the means of ANSUR 1988 (Gordon
  et al. 1989, 2,208 women): girth 79.19 to 72.55, height 98.21 to 105.65, back length 44.25 to 36.73 cm.
- underbust: bust less 13.74 (ANSUR 1988, 90.71 and 76.97).
- neck to bust point: mean 26.8 at bust 90.71 (ANSUR 1988), 0.224 more for each cm of bust (a regression on body scans).
- bust span 2.61 + 0.174 bust; underbust 6.1 below the bust point (the same scans; both for adult women).
- armhole depth: from nape height and axilla height, brought to the mean of ANSUR 1988 (18.57, along the body).
- shoulder slope: a fall of 4.8 (the same scans) over the shoulder's own length.
- across front: across back less 2 (a British chart at style2designer.com prints 1.6 to 2.2 less).
- high bust, high hip, hand: our guesses, from the measures beside them.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
import shapely

from tapeline.bodies.card import missing, read_card
from tapeline.drafting.run import draft
from tapeline.finishing.finish import finish
from tapeline.meaning.style import read
from tapeline.source.text import Source
from tapeline.source.world import World, read_text, standard_folder

CARDS = sorted((standard_folder("styles") / "bodies").glob("*.toml"))


def women() -> dict[str, np.ndarray]:
    with open(Path(__file__).with_name("ansur2_women_60.csv"), newline="") as file:
        rows = list(csv.DictReader(file))
    table = {name: np.array([float(row[name]) for row in rows]) for name in rows[0]}
    bust, waist_height = table["bust_cm"], table["waist_navel_height_cm"] + 105.65 - 98.21
    neck_to_bust = 26.8 + 0.224 * (bust - 90.71)
    bust_to_waist = table["bust_height_cm"] - waist_height
    plumb = table["nape_height_cm"] - table["axilla_height_cm"]
    cm = {
        "bust": bust, "waist": table["waist_at_navel_cm"] - (79.19 - 72.55), "underbust": bust - (90.71 - 76.97),
        "hip": table["hip_cm"], "neck": table["neck_base_cm"], "shoulder": table["shoulder_length_cm"],
        "across_back": table["across_back_cm"], "across_front": table["across_back_cm"] - 2.0,
        "armhole_depth": plumb - plumb.mean() + 18.57,
        "nape_to_waist": table["back_waist_length_to_navel_cm"] - (44.25 - 36.73),
        "neck_to_bust": neck_to_bust, "neck_to_waist_front": neck_to_bust + bust_to_waist,
        "bust_span": 2.61 + 0.174 * bust, "upper_arm": table["upper_arm_flexed_cm"],
        "arm_length": table["sleeve_outseam_cm"], "hand": table["wrist_cm"] * 1.25,
        "underbust_to_waist": np.maximum(bust_to_waist - 6.1, 4.0), "high_bust": bust - 4.0,
        "high_hip": table["hip_cm"] - 6.0, "waist_to_high_hip": (waist_height - table["buttock_height_cm"]) / 2.0,
    }
    bodies = {name: values * 10.0 for name, values in cm.items()}
    bodies["shoulder_slope"] = np.arcsin(4.8 / table["shoulder_length_cm"])
    return bodies
