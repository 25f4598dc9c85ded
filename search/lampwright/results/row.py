"""What every row is: plain data, made by keyword, that does not change.

No source: our format.
"""

from msgspec import Struct


class Row(
    Struct,
    frozen=True,
    kw_only=True,
    forbid_unknown_fields=True,
    rename={"from_node": "from", "to_node": "to"},
):
    """One object of a result; its fields are the file's keys, in their order."""
