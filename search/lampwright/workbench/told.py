"""What the process of a search tells the page, as lines of JSON."""

import msgspec


class Told(msgspec.Struct, frozen=True, omit_defaults=True):
    """One thing that the process tells.

    kind: `stage` (text its name, total its steps or none), `done` (steps done in all), `found` (text what
    to fit, margin in stops, picture its drawing), `answer` (text the verdict's kind), `wrong` (text).
    """

    kind: str
    text: str = ""
    total: int | None = None
    done: int = 0
    margin: float = 0.0
    picture: str = ""
