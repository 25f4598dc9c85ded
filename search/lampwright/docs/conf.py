"""How Sphinx builds the site: `sphinx-build -W -n search/lampwright/docs site`.

Every page is Markdown (MyST), so that `lampwright docs` can show it without Sphinx; what is generated is put
in the place of its marker as a page is read. Nothing is fetched from anywhere, by the build or by a reader.
No source: our conventions.
"""

from typing import Any

from lampwright import __version__
from lampwright.cli.commands import main
from lampwright.manual.generated import filled

project = "lampwright"
release = version = __version__
extensions = ["myst_parser"]
html_theme = "furo"
html_title = f"lampwright {__version__}"
html_show_sphinx = False
html_show_copyright = False
html_copy_source = False
html_theme_options = {
    "light_css_variables": {"color-brand-content": "#0b5566", "color-brand-primary": "#0b5566"}
}
myst_heading_anchors = 4
# a page looks the same where it is rendered without Sphinx
myst_disable_syntax = ["html_block", "html_inline"]
highlight_language = "text"
_FOCUS = """addEventListener("DOMContentLoaded", () => {
  for (const block of document.querySelectorAll("pre, .table-wrapper")) block.tabIndex = 0;
});"""


def setup(app: Any) -> None:
    """Put what is generated into each page as it is read, and let wide blocks take the focus."""

    def fill(_app: Any, _name: str, source: list[str]) -> None:
        source[0] = filled(source[0], main)

    app.connect("source-read", fill)
    # what is wider than the screen is moved sideways, by the keyboard too
    app.add_js_file(None, body=_FOCUS)
