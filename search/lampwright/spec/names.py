"""What a name and a type look like in a spec. No source: our format."""

from lampwright.spec.shapes import Text

NAME = Text(
    pattern=r"[A-Za-z0-9_/-]([A-Za-z0-9_/ -]*[A-Za-z0-9_/-])?",
    most=32,
    fault="is no plain name (letters, digits, _ - / and spaces inside)",
)
TYPE = Text(pattern=r"[!-~]([ -~]*[!-~])?", most=40, fault="is no type name")
