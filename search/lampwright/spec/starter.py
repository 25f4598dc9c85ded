"""The commented spec that `lampwright new FILE` writes, to start from.

The text is `starter.toml` beside this module: valid as it stands, with every table of
the format. Lines that begin with `#` and no space are optional tables, ready for use.
"""

from importlib import resources
from pathlib import Path

from lampwright.errors import Finding, InputError


def starter_text() -> str:
    """Return the text of the starting spec."""
    return (resources.files("lampwright.spec") / "starter.toml").read_text(encoding="utf-8")


def write_starter(path: Path | str) -> Path:
    """Write the starting spec to a new file and return its path; never overwrite one."""
    path = Path(path)
    try:
        with path.open("x", encoding="utf-8", newline="\n") as stream:
            stream.write(starter_text())
    except FileExistsError:
        raise _refused(
            path, "there is a file of this name already", "name another file, or remove that one"
        ) from None
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise _refused(
            path, f"cannot be written ({why})", "name a file in a folder you may write to"
        ) from None
    return path


def _refused(path: Path, said: str, remedy: str) -> InputError:
    return InputError([Finding(ascii(str(path))[1:-1], said, remedy)])
