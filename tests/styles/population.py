"""The women of two open surveys, as measures for drafting.

`ansur2_women.csv`: the 1,986 women of ANSUR II, measured 2010-12, in millimetres (US Army, 2012 Anthropometric Survey,
public release of the female file; Gordon et al. 2014, DTIC ADA611869; a work of the US Government, public).  A subset of its
columns, called like our measures.  Its waist lies at the navel, 7.4 cm below the natural one and less hollow, so these
bodies are straighter than a dressmaker's measures would make them.

`bdims_women.csv`: the 260 women of bdims, in millimetres (Heinz, Peterson, Johnson and Kerk 2003, "Exploring relationships
in body dimensions", Journal of Statistics Education 11(2); also data set openintro/bdims of the collection Rdatasets), a
subset of its columns, called like our measures.  Its waist is the narrowest place.

Neither survey took all that a cutter takes.  `ESTIMATES` says how the rest is filled and from which source, mostly from
the regressions over the women of ANSUR II; what is filled is marked as an estimate wherever it is told.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import numpy as np

# What a survey has not, in the order in which it is filled: (measure, where from, how).  Millimetres and radians; `b` holds what
# there is already, `b["natural"]` how far the waist lies above the navel.  Regressions are over the 1,986 women of
# ANSUR II, computed from the same public file: intercept, and so much for each unit of bust, hip and height; their
# residual SD is 0.9 cm (shoulder) to 2.3 cm (across back, waist to hip).
ANSUR = "regression over ANSUR II"
OLDER = "ANSUR 1988"  # Gordon et al. 1989, 1988 Anthropometric Survey of US Army Personnel, 2,208 women
SCANS = "scans of Spanish women 2006, in the R package Anthropometry"
ESTIMATES = (
    ("bust", "high bust and 2 in, the difference at which leaflets choose by the high bust", lambda b: b["high_bust"] + 50.8),
    ("high_bust", "bust less 2 in, as above", lambda b: b["bust"] - 50.8),
    ("neck", ANSUR, lambda b: 109.956 + 0.1402 * b["bust"] + 0.0789 * b["height"]),
    ("shoulder", ANSUR, lambda b: 31.007 + 0.0032 * b["bust"] + 0.0623 * b["height"]),
    ("across_back", ANSUR, lambda b: 96.913 + 0.2205 * b["bust"] + 0.0415 * b["height"]),
    ("arm_length", ANSUR, lambda b: -54.937 + 0.0134 * b["bust"] + 0.3597 * b["height"]),
    ("nape_to_waist", ANSUR, lambda b: 41.467 + 0.1162 * b["bust"] + 0.1682 * b["height"] - b["natural"]),
    ("waist_to_hip", ANSUR, lambda b: -10.222 - 0.0753 * b["hip"] + 0.1434 * b["height"] + b["natural"]),
    ("waist_to_knee", ANSUR, lambda b: -46.019 - 0.0689 * b["hip"] + 0.3976 * b["height"] + b["natural"]),
    ("crotch_depth", ANSUR, lambda b: 10.145 - 0.0142 * b["hip"] + 0.1241 * b["height"] + b["natural"]),
    ("nape_to_bust", ANSUR, lambda b: -2.953 + 0.0734 * b["bust"] + 0.0967 * b["height"]),
    ("crotch_length", ANSUR, lambda b: 51.989 + 0.3067 * b["hip"] + 0.157 * b["height"] + 2 * b["natural"]),
    ("waist_height", f"mean share of the height to the navel, {OLDER}", lambda b: b["height"] * 98.21 / 162.94 + b["natural"]),
    ("nape_height", "mean share of the height, ANSUR II 139.57 of 162.85 cm", lambda b: b["height"] * 139.57 / 162.85),
    ("underbust", "bust less 14 cm, mean difference in UK size charts", lambda b: b["bust"] - 140.0),
    ("bust_to_waist", f"mean, {SCANS}", lambda b: np.full_like(b["bust"], 135.0)),
    ("underbust_to_waist", f"6.1 cm less than from the bust, {SCANS}", lambda b: b["bust_to_waist"] - 61.0),
    ("high_hip", "three quarters of the way from waist to hip, our guess", lambda b: b["waist"] + 0.75 * (b["hip"] - b["waist"])),
    ("waist_to_high_hip", "half of waist to hip, our guess", lambda b: b["waist_to_hip"] / 2),
    ("waist_to_floor", "as high as the waist, plumb", lambda b: b["waist_height"]),
    ("waist_to_floor_front", "as high as the waist, plumb", lambda b: b["waist_height"]),
    ("waist_to_floor_back", "as high as the waist, plumb", lambda b: b["waist_height"]),
    ("knee_height", "waist height less waist to knee", lambda b: b["waist_height"] - b["waist_to_knee"]),
    ("hip_height", "waist height less waist to hip", lambda b: b["waist_height"] - b["waist_to_hip"]),
    ("inside_leg", "waist height less crotch depth", lambda b: b["waist_height"] - b["crotch_depth"]),
    ("bust_span", SCANS, lambda b: 26.1 + 0.174 * b["bust"]),
    ("neck_to_bust", SCANS, lambda b: 52.0 + 0.224 * b["bust"] + 0.018 * b["nape_height"]),
    ("shoulder_slope", f"a drop of 4.8 cm over the shoulder, {SCANS}", lambda b: np.arcsin(48.0 / b["shoulder"])),
    ("across_front", f"as across the back, {SCANS}", lambda b: b["across_back"]),
    ("shoulder_width", "two shoulders and a third of the neck, our guess", lambda b: 2 * b["shoulder"] + b["neck"] / 3),
    ("armhole_depth", f"mean, {OLDER}", lambda b: np.full_like(b["bust"], 185.7)),
    ("underarm_length", "nape to waist less armhole depth", lambda b: b["nape_to_waist"] - b["armhole_depth"]),
    ("armhole", f"mean share of the bust, {OLDER}", lambda b: b["bust"] * 37.1 / 90.71),
    ("centre_front_length", f"mean share of the back length, {OLDER}", lambda b: b["nape_to_waist"] * 31.17 / 36.73),
    ("nape_over_bust_to_waist", "mean share of the back length, USDA 1941", lambda b: b["nape_to_waist"] * 48.5 / 38.0),
    ("side_neck_over_bust_to_waist", "neck to bust and bust to waist", lambda b: b["neck_to_bust"] + b["bust_to_waist"]),
    ("shoulder_girth", "mean share of the bust, ANSUR II", lambda b: b["bust"] * 102.82 / 94.69),
    ("elbow", f"mean share of the upper arm, {OLDER}", lambda b: b["upper_arm"] * 23.83 / 28.13),
    ("knee", f"mean share of the calf, {OLDER}", lambda b: b["calf"] * 36.52 / 35.24),
    ("ankle", "mean share of the calf, ANSUR II", lambda b: b["calf"] * 21.57 / 37.33),
    ("hand", "five quarters of the wrist, our guess", lambda b: b["wrist"] * 1.25),
    ("upper_arm_length", "mean, NHANES 2021-23", lambda b: np.full_like(b["bust"], 362.0)),
    ("cap_height", "as in the sleeve of the textbook Tata Busana", lambda b: np.full_like(b["bust"], 120.0)),
    ("inside_arm", "arm length less cap height, our guess", lambda b: b["arm_length"] - b["cap_height"]),
    ("head", "the middle of ASTM D5585's 54 to 57 cm", lambda b: np.full_like(b["bust"], 555.0)),
)


@dataclass
class Bodies:
    """The women of one survey: measure -> values (N,), and for what was not measured, where it is from."""

    survey: str
    values: dict[str, np.ndarray]
    estimated: dict[str, str] = field(default_factory=dict)

    def every(self, step: int) -> Bodies:
        """One woman in `step`, in their order."""
        return self.those(slice(None, None, step))

    def those(self, rows: slice) -> Bodies:
        return Bodies(self.survey, {measure: values[rows] for measure, values in self.values.items()}, self.estimated)

    def filled(self) -> Bodies:
        for measure, source, how in ESTIMATES:
            if measure not in self.values:
                self.values[measure], self.estimated[measure] = how(self.values), source
        return self


def _columns(name: str) -> dict[str, np.ndarray]:
    with open(Path(__file__).with_name(name), newline="", encoding="utf-8") as file:
        names, *rows = csv.reader(file)
    return dict(zip(names, np.array(rows, dtype=float).T, strict=True))


@cache
def ansur2() -> Bodies:
    b = _columns("ansur2_women.csv")
    plumb = {  # taken straight down, where a cutter's tape follows the body
        "waist_to_hip": b["waist_height"] - b["hip_height"],
        "waist_to_knee": b["waist_height"] - b["knee_height"],
        "crotch_depth": b["waist_height"] - b["inside_leg"],
        "nape_to_bust": b["nape_height"] - b["bust_height"],
        "bust_to_waist": b["bust_height"] - b["waist_height"],
    }
    estimated = dict.fromkeys(plumb, "difference of two heights")
    depth = b["nape_height"] - b["axilla_height"]
    plumb["armhole_depth"] = depth - depth.mean() + 185.7  # along the body it is longer: mean of ANSUR 1988
    estimated["armhole_depth"] = f"difference of two heights, brought to the mean of {OLDER}"
    return Bodies("ANSUR II", {**b, **plumb, "natural": np.zeros(len(depth))}, estimated).filled()


@cache
def bdims() -> Bodies:
    values = _columns("bdims_women.csv")
    # Natural waist and navel in ANSUR 1988: heights of 105.65 and 98.21 cm.
    return Bodies("bdims", {**values, "natural": np.full(len(values["waist"]), 74.4)}).filled()


SURVEYS = {"ANSUR II": ansur2, "bdims": bdims}
