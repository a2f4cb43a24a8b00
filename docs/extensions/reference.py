# SPDX-License-Identifier: GPL-3.0-or-later
"""Sphinx extension: makes docs/api before the pages are read, and links names in the other pages.

The made pages are not kept in the repository: what they say stands in headers, docstrings and annotations.
"""
import pathlib
import re
from typing import Any

import annotations
import headers
import modules
from docutils import nodes
from docutils.utils.math.latex2mathml import tex2mathml
from pygments.lexers.special import TextLexer
from sphinx import addnodes
from sphinx.application import Sphinx
from sphinx.transforms import SphinxTransform

PUBLIC = {name for names in modules.public().values() for name in names}
ROOT = pathlib.Path(__file__).resolve().parent.parent.parent


def _index(title: str, said: str, pages: list[str]) -> str:
    return "\n".join([title, "=" * len(title), "", said, "", ".. toctree::", "   :maxdepth: 1", "",
                      *(f"   {page}" for page in pages), ""])


def pages() -> dict[str, str]:
    """Path under docs/api -> what stands there."""
    umbrella = (ROOT / "include/oxtint.h").read_text(encoding="utf-8")
    listed = [ROOT / "include" / name for name in re.findall(r'#include "(oxtint/\w+\.h)"', umbrella)]
    writer = headers.Writer(listed)
    made = {f"c/{header.stem}.rst": writer.page(header) for header in listed}
    _, rules = headers.title(ROOT / "include/oxtint.h")
    made["c/index.rst"] = _index("C", "\n".join(writer.prose(rules)),
                                 [header.stem for header in listed])
    made["python.rst"] = modules.page()
    made["lua.rst"] = annotations.page(ROOT / "bindings/lua/library/oxtint.lua")
    made["index.rst"] = _index("Reference", "Every public name, with its units, ranges, errors and sources.",
                               ["c/index", "python", "lua"])
    return made


def write(app: Sphinx, _config: Any) -> None:
    """Write the pages; one that has not changed is left alone, and need not be read again."""
    folder = pathlib.Path(app.srcdir) / "api"
    made = {folder / name: text for name, text in pages().items()}
    for old in set(folder.rglob("*.rst")) - set(made):
        old.unlink()
    for path, text in made.items():
        path.parent.mkdir(parents=True, exist_ok=True)
        if not path.exists() or path.read_text(encoding="utf-8") != text:
            path.write_text(text, encoding="utf-8")


class LinkNames(SphinxTransform):
    """`oxt_fit_run` and `oxtint.fit` in backticks link to the reference; other code does not, nor does the
    changelog, which has names that are gone."""

    default_priority = 400

    def apply(self, **_options: Any) -> None:
        if self.env.docname == "changelog":
            return
        for node in list(self.document.findall(nodes.literal)):
            name = node.astext().removesuffix("()")
            if isinstance(node.parent, (nodes.reference, addnodes.pending_xref)):
                continue
            if re.fullmatch(r"oxt_(?!i_)\w+", name):
                node.replace_self(self._link("c", "data", name, node))
            elif name in PUBLIC:
                node.replace_self(self._link("py", "obj", name, node))

    def _link(self, domain: str, kind: str, name: str, node: nodes.literal) -> nodes.Node:
        return addnodes.pending_xref("", node.deepcopy(), refdomain=domain, reftype=kind, reftarget=name,
                                     refdoc=self.env.docname, refwarn=True, refexplicit=True)


def _show_math(translator: Any, node: nodes.Element, block: bool) -> None:
    translator.body.append(tex2mathml(node.astext(), as_block=block))
    raise nodes.SkipNode


def setup(app: Sphinx) -> dict[str, bool]:
    app.connect("config-inited", write)
    app.add_lexer("csv", TextLexer)
    app.add_transform(LinkNames)
    app.add_object_type("luafunction", "luafunction", "pair: %s; Lua")
    app.add_object_type("luatype", "luatype", "pair: %s; Lua")
    # MathML, which browsers show without a script from elsewhere.
    app.add_html_math_renderer("mathml", (lambda self, node: _show_math(self, node, False), None),
                               (lambda self, node: _show_math(self, node, True), None))
    return {"parallel_read_safe": True, "parallel_write_safe": True}
