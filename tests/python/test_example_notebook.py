# SPDX-License-Identifier: GPL-3.0-or-later
"""The notebook of the examples runs from its first cell to its last, and is kept without what it printed."""
import ast
import json
import pathlib

import oxtint

ROOT = pathlib.Path(__file__).resolve().parents[2]


def test_the_notebook_runs(monkeypatch, capsys) -> None:
    """As a kernel does: all cells in one namespace, and the last expression of a cell is shown."""
    monkeypatch.chdir(ROOT / "examples")
    book = json.loads(pathlib.Path("bench.ipynb").read_text(encoding="utf-8"))
    assert book["nbformat"] == 4
    namespace: dict = {"__name__": "__main__"}
    shown = []
    for cell in book["cells"]:
        if cell["cell_type"] != "code":
            continue
        assert cell["outputs"] == [] and cell["execution_count"] is None
        tree = ast.parse("".join(cell["source"]))
        last = tree.body.pop() if isinstance(tree.body[-1], ast.Expr) else None
        exec(compile(tree, cell["id"], "exec"), namespace)
        if last:
            shown.append(eval(compile(ast.Expression(last.value), cell["id"], "eval"), namespace))
    printed = capsys.readouterr().out
    assert "Alder 1, satin" in printed and "coupons; the largest residual is" in printed
    log, fit, dip, baths = (value for value in shown if value is not None)
    assert len(log) > 20 and isinstance(fit, oxtint.Fit) and isinstance(dip, oxtint.Dip)
    for value in (fit, dip, baths):
        assert "<table" in value._repr_html_()
    assert [caution for caution in dip.cautions if caution.name == "WATER"]
