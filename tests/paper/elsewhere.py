"""The same script run in two other folders, time zones and hash seeds: what it prints must not know where it ran."""

import os
import subprocess
import sys
from pathlib import Path


def printed_elsewhere(script: str, tmp_path) -> list[str]:
    """What a script prints in two places; the modules beside this file can be imported there."""
    printed = []
    path = os.pathsep.join(filter(None, (str(Path(__file__).parent), os.environ.get("PYTHONPATH"))))
    for seed, zone in (("1", "UTC"), ("77", "Asia/Tokyo")):
        folder = tmp_path / seed
        folder.mkdir()
        around = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "PYTHONPATH": path}
        printed.append(
            subprocess.run([sys.executable, "-c", script], cwd=folder, env=around, capture_output=True, text=True, check=True).stdout
        )
    return printed
