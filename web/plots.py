"""Plots and maps: drawn here, sent as data, brought to life by the library's own script.

The script comes out of the installed wheel; nothing is loaded from elsewhere, and no script
stands in a page. Pages show the same without it, as words or a still drawing.
"""

import json
from pathlib import Path

from bokeh.core.types import ID
from bokeh.embed import json_item
from bokeh.model import Model
from bokeh.util.paths import bokehjs_path
from markupsafe import Markup

from web.guard import CSP

#: The scripts of the library, inside its wheel.
SCRIPTS = Path(bokehjs_path()) / "js"
#: Where they are served.
AT = "/static/plots"

#: The library writes styles into the page it draws on.
PLOTS_CSP = CSP.replace("style-src 'self'", "style-src 'self' 'unsafe-inline'")

#: The hue of the board, from light to dark; `static/board.css` has the same.
PAPER, PALE, MID, SOFT, DEEP, INK = (
    *("#ffffff", "#dedcf2", "#8d88cf", "#5a559c", "#332e78", "#221f4a"),
)


def plot_data(model: Model, name: str) -> Markup:
    """A plot as data for the page that holds an element with the id ``name``."""
    told = json.dumps(json_item(model, target=ID(name)), allow_nan=False)
    # Nothing inside can end the element that holds it.
    return Markup(told.replace("<", "\\u003c"))
