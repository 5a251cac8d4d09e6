"""Run every netlist with ngspice and print what it gives as JSON; `python run.py > results.json` stores it."""

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

FOLDER = Path(__file__).parent
VALUE = re.compile(r"^(\w+) = ([-+.\deE]+)$", re.MULTILINE)


def results() -> dict[str, dict[str, float]]:
    """What each netlist prints, by its name."""
    made = {}
    for path in sorted(FOLDER.glob("*.cir")):
        done = subprocess.run(
            [shutil.which("ngspice"), "-b", str(path)], capture_output=True, text=True, check=False, timeout=60
        )
        made[path.stem] = {name: float(value) for name, value in VALUE.findall(done.stdout)}
    return made


if __name__ == "__main__":
    json.dump(results(), sys.stdout, indent=1)
    print()
