"""Every bound in pyproject.toml has a reason on its line, and every dependency an exact version in CI."""

import re
import tomllib
from itertools import chain
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

PIN = re.compile(r"(?P<name>[A-Za-z0-9._-]+)==(?P<version>[0-9][A-Za-z0-9.+!-]*)")


@pytest.fixture(scope="module")
def pyproject(root: Path) -> str:
    return (root / "pyproject.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def pins(root: Path) -> dict[str, Version]:
    """Read requirements.lock; any line but a pin or a comment is an error."""
    found: dict[str, Version] = {}
    for line in (root / ".ci" / "requirements.lock").read_text(encoding="utf-8").splitlines():
        if line and not line.startswith("#"):
            pin = PIN.fullmatch(line)
            assert pin, f"requirements.lock: {line!r} is no name==version"
            found[canonicalize_name(pin["name"])] = Version(pin["version"])
    return found


def requirements(pyproject: str) -> list[str]:
    project = tomllib.loads(pyproject)["project"]
    build = tomllib.loads(pyproject)["build-system"]["requires"]
    return [*build, *project["dependencies"], *chain(*project["optional-dependencies"].values())]


def test_every_bound_has_a_reason(pyproject: str) -> None:
    bounds = [*requirements(pyproject), tomllib.loads(pyproject)["project"]["requires-python"]]
    for bound in bounds:
        lines = [line for line in pyproject.splitlines() if f'"{bound}"' in line]
        assert lines, f"{bound}: not on a line of its own"
        for line in lines:
            number, _, reason = line.partition("#")[2].strip().partition(":")
            assert number in bound, f"{bound}: the reason is for {number!r}"
            assert len(reason.split()) > 1, f"{bound}: no reason on its line"


def test_every_dependency_has_a_bound(pyproject: str) -> None:
    bare = [one for one in requirements(pyproject) if not Requirement(one).specifier]
    assert not bare, f"no least version: {bare}"


def test_every_pin_is_within_its_bound(pyproject: str, pins: dict[str, Version]) -> None:
    project = tomllib.loads(pyproject)["project"]
    for one in (*project["dependencies"], *project["optional-dependencies"]["test"]):
        needed = Requirement(one)
        version = pins.get(canonicalize_name(needed.name))
        assert version is not None, f"requirements.lock pins no {needed.name}"
        assert needed.specifier.contains(version), f"{version} is outside {needed}"
