#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""What the pages of an earlier commit stated, found again in those of now: figures, and the names of sources.

    python tests/docs_facts.py COMMIT      prints the sentences of then whose figures or sources stand together nowhere now

A sentence is kept if one paragraph, list item, row or listing of now has all its figures and names. What a page shows of
a program's output counts as well; the tests of the pages hold that it is true.
"""
import collections
import pathlib
import re
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parent.parent
FIGURE = re.compile(r"(?<![\w.])[-\u2212]?\d[\d,]*(?:\.\d+)?(?:e[-+]?\d+)?")
# Standards, books, people and places that a fact was taken from: capitals within a sentence, or letters with a number.
NAME = re.compile(r"\b(?:[A-Z]{2,}[A-Z0-9/-]*|[A-Z][a-z]+(?:-[A-Z][a-z]+)?)\b")


def units(text: str) -> list[str]:
    """The sentences, rows and lines of listings of a page, without its links and marks."""
    text = re.sub(r"\]\([^)]*\)", "]", text)
    text = re.sub(r"^(?:\.\. |:{3,}|:[a-z-]+:).*$", "", text, flags=re.MULTILINE)
    found = []
    for block in re.split(r"\n\s*\n|\n(?=\s*(?:[-*|]|\d+\.) )|\n(?=\|)", text):
        found += re.split(r"(?<=[.!?:;]) +(?=[A-Z*`(])", " ".join(block.split()))
    return found


def blocks(text: str) -> list[str]:
    """Paragraphs, lists, tables and listings."""
    return [" ".join(block.split()) for block in re.split(r"\n\s*\n", re.sub(r"\]\([^)]*\)", "]", text))]


def facts(sentence: str) -> collections.Counter[str]:
    plain = re.sub(r"`[^`]*`", " ", sentence)
    names = {found[0] for found in NAME.finditer(plain) if found.start() > 2}
    return collections.Counter([*FIGURE.findall(plain), *names])


def pages_of(commit: str) -> dict[str, str]:
    listed = subprocess.run(["git", "ls-tree", "-r", "--name-only", commit, "docs", "README.md"], cwd=ROOT, check=True,
                            capture_output=True, text=True).stdout.split()
    return {name: subprocess.run(["git", "show", f"{commit}:{name}"], cwd=ROOT, check=True, capture_output=True,
                                 text=True).stdout
            for name in listed if name.endswith(".md")}


def main() -> int:
    now = [blocks(path.read_text(encoding="utf-8"))
           for path in [ROOT / "README.md", *(ROOT / "docs").rglob("*.md"), *(ROOT / "examples/gallery").glob("*.py")]]
    held = [{*FIGURE.findall(block), *NAME.findall(block)} for page in now for block in page]
    checked = lost = 0
    for name, text in pages_of(sys.argv[1]).items():
        for sentence in units(text):
            wanted = set(facts(sentence))
            if not any(word[-1].isdigit() for word in wanted):
                continue
            checked += 1
            if not any(wanted <= block for block in held):
                lost += 1
                print(f"{name}: {sentence}\n    {' '.join(sorted(wanted))}")
    said = set().union(*held)
    names = {name for text in pages_of(sys.argv[1]).values() for sentence in units(text) for name in facts(sentence)
             if not name[-1].isdigit()}
    print(f"{checked - lost} of {checked} sentences with figures are found again, and {len(names & said)} of {len(names)} names",
          *sorted(names - said))
    return lost > 0 or not names <= said


if __name__ == "__main__":
    sys.exit(main())
