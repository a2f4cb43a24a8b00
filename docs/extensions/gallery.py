# SPDX-License-Identifier: GPL-3.0-or-later
"""Sphinx extension: the pictures of examples/gallery, each with the caption and the description that its program has.

sphinx-gallery runs the programs and makes a page of each; a page of the docs shows a picture by

    ```{gallery} growth_curves
    ```
"""
import ast
import pathlib
from typing import Any

from docutils import nodes
from sphinx import addnodes
from sphinx.application import Sphinx
from sphinx.util.docutils import SphinxDirective

ORDER = ("growth_curves", "colour_path", "same_times", "warming_up", "one_dip", "finishes", "chart", "name_as_band",
         "rates", "wide_intervals", "spread", "influence", "residuals", "bootstrap", "pooling", "next_coupon", "growth_laws",
         "matched_set", "ladder")
PROGRAMS = pathlib.Path(__file__).resolve().parents[2] / "examples/gallery"

class Order:
    """How the gallery is sorted: from bath to name, then what is uncertain, then sets."""

    def __init__(self, _folder: str) -> None: ...

    def __call__(self, program: str) -> int:
        return ORDER.index(pathlib.Path(program).stem)


def said(program: pathlib.Path) -> dict[str, str]:
    """CAPTION and ALT of a program, which is not run."""
    tree = ast.parse(program.read_text(encoding="utf-8"))
    return {node.targets[0].id: " ".join(str(ast.literal_eval(node.value)).split()) for node in tree.body
            if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name)
            and node.targets[0].id in ("CAPTION", "ALT")}


def scraper(_block: Any, block_vars: dict[str, Any], _gallery_conf: dict[str, Any]) -> str:
    """Save what a block of a program has drawn; `place_picture` puts it above the code."""
    import matplotlib.pyplot as plt

    for number in plt.get_fignums():
        path = next(block_vars["image_path_iterator"])
        plt.figure(number).savefig(path, dpi=150, facecolor="white")  # which is read on a dark page too
    plt.close("all")
    return ""


def place_picture(_app: Sphinx, docname: str, source: list[str]) -> None:
    """On the page that sphinx-gallery makes of a program, the picture stands between introduction and code."""
    folder, _, name = docname.rpartition("/")
    if folder == "gallery" and name in ORDER:
        before, mark, after = source[0].partition("\n.. GENERATED FROM")
        source[0] = f"{before}\n.. gallery:: {name}\n\n{mark}{after}"


class Gallery(SphinxDirective):
    """A picture of the gallery, which leads to its program."""

    required_arguments = 1

    def run(self) -> list[nodes.Node]:
        name = self.arguments[0]
        program = PROGRAMS / f"{name}.py"
        self.env.note_dependency(str(program))
        text = said(program)
        caption = nodes.caption(text["CAPTION"], text["CAPTION"])
        if self.env.docname != f"gallery/{name}":
            link = addnodes.pending_xref("", nodes.inline("", "Program."), refdomain="std", reftype="doc",
                                         reftarget=f"/gallery/{name}", refdoc=self.env.docname, refexplicit=True,
                                         refwarn=True)
            caption += [nodes.Text(" "), link]
        image = nodes.image(uri=f"/gallery/images/sphx_glr_{name}_001.png", alt=text["ALT"])
        return [nodes.figure("", image, caption, align="default")]


def setup(app: Sphinx) -> dict[str, bool]:
    app.add_directive("gallery", Gallery)
    app.connect("source-read", place_picture)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
