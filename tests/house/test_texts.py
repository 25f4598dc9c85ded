"""What may not stand in a tracked file: one machine's paths, addresses of registries, talk of the making.

The patterns are put together from pieces, so that this file does not hold what it looks for.
"""

import re
from pathlib import Path

import pytest

HOMES = "|".join(("work", "farm", "root", "home", "tmp", "Users", "opt", "mnt"))
HOSTS = "|".join(
    r"\.".join(pair) for pair in (("pypi", "org"), ("python" + "hosted", "org"), ("npmjs", "com"))
)
OPTIONS = "|".join("--" + word for word in ("index" + "-url", "extra-index" + "-url", "find" + "-links"))
TALK = "|".join(
    (
        "A" + "I",
        "LL" + "M",
        "[Cc]lau" + "de",
        "[Aa]nth" + "ropic",
        "[Cc]hat" + "[Gg][Pp][Tt]",
        "[Ll]anguage" + " model",
        "[Cc]o-[Aa]uthored" + "-[Bb]y",
        "[Ss]ub" + "agents?",
        "[Ss]es" + "sions?",
        "[Hh]elper" + "s? (?:was|were|is|are|wrote)",
    )
)
FORBIDDEN = {
    "a path of one machine": re.compile(rf"(?<![\w./:])/(?:{HOMES})/|\b[A-Z]:\\\w"),
    "the address of a registry": re.compile(rf"(?:{HOSTS})|(?:{OPTIONS})\b"),
    "talk of how it was made": re.compile(rf"\b(?:{TALK})\b"),
}
PYTESTS_WORD = 'scope="ses' + 'sion"'
EXAMPLES = {
    "a path of one machine": "see " + "/home" + "/me/lamps.toml",
    "the address of a registry": "https://py" + "pi.org/simple",
    "talk of how it was made": "in an earlier ses" + "sion",
}


@pytest.mark.parametrize("kind", FORBIDDEN)
def test_nothing_forbidden_stands_in_a_file(root: Path, tracked: tuple[Path, ...], kind: str) -> None:
    wrong = []
    for path in tracked:
        content = (root / path).read_bytes()
        if b"\0" in content:
            continue  # a picture
        text = content.decode("utf-8", errors="replace")
        for number, line in enumerate(text.splitlines(), 1):
            found = FORBIDDEN[kind].search(line)
            if found and PYTESTS_WORD not in line:
                wrong.append(f"{path}:{number}: {found[0]}")
    assert not wrong, f"{kind}:\n" + "\n".join(wrong)


@pytest.mark.parametrize("kind", FORBIDDEN)
def test_the_pattern_finds_its_example(kind: str) -> None:
    assert FORBIDDEN[kind].search(EXAMPLES[kind])


def test_texts_are_plain(root: Path, tracked: tuple[Path, ...]) -> None:
    wrong = []
    for path in tracked:
        if path.suffix in {".py", ".md", ".toml", ".csv", ".lock"} or path.name == "run":
            raw = (root / path).read_bytes()
            if b"\r" in raw or b"\t" in raw or (raw and not raw.endswith(b"\n")):
                wrong.append(str(path))
    assert not wrong, f"a tab, a carriage return, or no newline at the end: {wrong}"
