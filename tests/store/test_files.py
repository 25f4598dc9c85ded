"""A result is in its folder whole, or not at all; a refusal is one line."""

import errno
import os
from pathlib import Path
from typing import Any

import pytest

from lampwright.errors import LampwrightError
from lampwright.store.files import StoreError, ready_folder, write_result, write_text

EXAMPLE = Path(__file__).parents[1] / "results" / "examples" / "one.json"


def refuses(code: int) -> Any:
    """Make a call of the system fail in one way."""

    def refuse(*_: object, **__: object) -> None:
        raise OSError(code, os.strerror(code))

    return refuse


def test_all_files_are_written_in_a_new_folder(tmp_path: Path) -> None:
    folder, names = tmp_path / "results" / "one", ["page.html", "ranking.csv", "ranking.json"]
    write_result(folder, EXAMPLE.read_text(encoding="utf-8"), "rank\n1\n", "<!DOCTYPE html>\n")
    assert sorted(path.name for path in folder.iterdir()) == names, "more or less"
    assert (folder / "ranking.csv").read_bytes() == b"rank\n1\n", "the table changed"
    assert (folder / "page.html").read_bytes() == b"<!DOCTYPE html>\n", "the page changed"
    assert (folder / "ranking.json").read_bytes() == EXAMPLE.read_bytes(), "the ranking changed"


@pytest.mark.parametrize("call", ["replace", "fsync"])
def test_a_full_disk_leaves_what_was_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    # A read-only folder or a full disk is played by the system call failing: root may write anywhere.
    (tmp_path / "ranking.json").write_text("old", encoding="utf-8")
    monkeypatch.setattr(os, call, refuses(errno.ENOSPC))
    with pytest.raises(StoreError) as caught:
        write_result(tmp_path, "{}\n", "rank\n", "")
    assert [path.name for path in tmp_path.iterdir()] == ["ranking.json"], "something half written is left"
    assert (tmp_path / "ranking.json").read_text(encoding="utf-8") == "old", "the old ranking is gone"
    said = str(caught.value)
    assert "\n" not in said, "a refusal is one line"
    assert said.startswith(str(tmp_path / "ranking.csv")), "the place is missing"
    assert "no space left on device" in said, "the reason is missing"
    assert said.endswith("with --out"), "the remedy is missing"


def test_a_file_where_the_folder_should_be_is_refused(tmp_path: Path) -> None:
    (tmp_path / "results").write_text("", encoding="utf-8")
    with pytest.raises(StoreError, match="it cannot be written"):
        ready_folder(tmp_path / "results" / "one")


def test_a_read_only_folder_is_refused(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    if os.access(tmp_path, os.W_OK):
        pytest.skip("this user may write in a read-only folder, as root may")
    with pytest.raises(StoreError, match="permission denied"):
        ready_folder(tmp_path)
    tmp_path.chmod(0o700)


def test_ctrl_c_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_text(tmp_path / "ranking.csv", "rank\n")
    assert list(tmp_path.iterdir()) == [], "a half-written file is left"


def test_a_refusal_is_an_error_the_command_line_knows() -> None:
    assert issubclass(StoreError, LampwrightError), "it would end in a traceback"


@pytest.mark.parametrize("kind", ["pipe", "folder", "link to a pipe"])
def test_what_is_no_file_is_never_replaced(kind: str, tmp_path: Path) -> None:
    """Whoever may write in /dev, as root may, had a plain file in the place of a device."""
    path = tmp_path / "there"
    if kind == "folder":
        path.mkdir()
    else:
        os.mkfifo(tmp_path / "pipe")
        path = tmp_path / "pipe" if kind == "pipe" else path
        if kind != "pipe":
            path.symlink_to("pipe")
    before = path.lstat()
    with pytest.raises(StoreError, match="it cannot be written"):
        write_text(path, "some text")
    assert (path.lstat().st_ino, path.lstat().st_mode) == (before.st_ino, before.st_mode)


def test_through_a_link_the_file_is_written_that_it_leads_to(tmp_path: Path) -> None:
    (tmp_path / "own").write_text("old", encoding="utf-8")
    (tmp_path / "link").symlink_to("own")
    write_text(tmp_path / "link", "new")
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "own").read_text(encoding="utf-8") == "new"


def test_a_long_name_that_a_file_may_have_is_written(tmp_path: Path) -> None:
    path = tmp_path / ("x" * 255)
    write_text(path, "some text")
    assert path.read_text(encoding="utf-8") == "some text"
