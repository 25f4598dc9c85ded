"""The folder holds: names from outside lead nowhere else, links included."""

from pathlib import Path

import pytest

from lampwright.errors import InputError
from lampwright.workbench.folder import Folder, folder_of

SPEC = "lampwright = 1\n"


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    root = tmp_path / "here"
    (root / "deep" / "er").mkdir(parents=True)
    (root / "results").mkdir()
    (tmp_path / "outside.toml").write_text(SPEC, encoding="utf-8")
    (root / "a.toml").write_text(SPEC, encoding="utf-8")
    (root / "deep" / "er" / "b.toml").write_text(SPEC, encoding="utf-8")
    (root / "results" / "c.toml").write_text(SPEC, encoding="utf-8")
    (root / "circuit.toml").write_text('[[part]]\nref = "x"\n', encoding="utf-8")
    (root / "link.toml").symlink_to(tmp_path / "outside.toml")
    (root / "way").symlink_to(tmp_path, target_is_directory=True)
    return folder_of(root, Path("results"))


@pytest.mark.parametrize("name", ["a.toml", "deep/er/b.toml", "new one.toml", "deep/ö.toml"])
def test_names_below_are_taken(folder: Folder, name: str) -> None:
    assert folder.file(name) == folder.root / name


@pytest.mark.parametrize(
    "name",
    [
        "",
        ".toml",
        "a.txt",
        "../outside.toml",
        "deep/../../outside.toml",
        "/etc/a.toml",
        "./a.toml",
        "deep//a.toml",
        "link.toml",
        "way/outside.toml",
        "way/new.toml",
        "deep\\a.toml",
        "C:a.toml",
        "a\x00.toml",
        "a\n.toml",
        ".hidden.toml",
        "a" * 300 + ".toml",
    ],
)
def test_names_that_lead_elsewhere_are_refused(folder: Folder, name: str) -> None:
    with pytest.raises(InputError):
        folder.file(name)


def test_specs_are_listed_and_nothing_else(folder: Folder) -> None:
    assert folder.specs() == ("a.toml", "deep/er/b.toml")


def test_results_must_lie_below(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="not below the folder"):
        folder_of(tmp_path, Path("..") / "elsewhere")
