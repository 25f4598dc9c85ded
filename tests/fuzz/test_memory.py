"""One process that reads and counts thousands of specs stays under 1 GiB: what it remembers is bounded."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

import lampwright

READS = """
import copy, random, resource, tomllib
from pathlib import Path
from lampwright.kernels import keep_kernels
keep_kernels()
from lampwright.errors import LampwrightError
from lampwright.problem.problem import prepare
from lampwright.problem.reading import read_document
from lampwright.searching.estimate import count_problem
chance = random.Random(1)
specs = [tomllib.loads(path.read_text()) for path in sorted(Path("specs").glob("*.toml"))]
for number in range(3500):
    spec = copy.deepcopy(chance.choice(specs))
    part = chance.uniform(0.9, 1.05)
    spec["supply"]["volts"] = [round(volts * part, 3) for volts in spec["supply"]["volts"]]
    volts, watts = round(chance.uniform(5, 13), 2), round(chance.uniform(1, 20), 2)
    spec["types"] = {"mine": {"volts": volts, "watts": watts}}
    next(iter(spec["lamps"].values()))["choose"].append("mine")
    try:
        problem = prepare(read_document(spec, "many", "many.toml"))
        if number % 50 == 0:
            count_problem(problem, 10**7)
    except LampwrightError:
        pass
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


@pytest.mark.nightly
def test_many_specs_in_one_process_stay_under_one_gib() -> None:
    source = Path(lampwright.__file__).parents[1]
    run = subprocess.run(
        [sys.executable, "-c", READS],
        cwd=source.parent,
        env=os.environ | {"PYTHONPATH": str(source)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert int(run.stdout) < 1024 * 1024, "KiB, as Linux counts"
