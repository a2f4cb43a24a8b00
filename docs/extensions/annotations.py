# SPDX-License-Identifier: GPL-3.0-or-later
"""The page of the Lua reference, from the annotations in bindings/lua/library/oxtint.lua."""
import pathlib
import re


def _escaped(text: str) -> str:
    return re.sub(r"([\\*|`_])", r"\\\1", text)


def _type_end(text: str) -> int:
    """Where a type ends: at the first blank outside brackets and quotes that follows no colon."""
    depth, quoted = 0, False
    for place, letter in enumerate(text):
        if letter == '"':
            quoted = not quoted
        depth += (letter in "([{<") - (letter in ")]}>")
        if letter == " " and not depth and not quoted and text[place - 1] != ":":
            return place
    return len(text)


def _typed(line: str) -> tuple[str, str]:
    end = _type_end(line)
    return line[:end], line[end:].strip()


def _entry(name: str, kind: str, said: str) -> str:
    return f"- **{_escaped(name)}** (``{kind}``){': ' + _escaped(said) if said else ''}"


def _signature_lines(tags: list[tuple[str, str]]) -> list[str]:
    """Parameters and results of a function."""
    lines = []
    for tag, heading in (("param", "Given"), ("return", "Returned")):
        rows = [text for name, text in tags if name == tag]
        lines += [f":{heading}:"] if rows else []
        for row in rows:
            if tag == "param":
                name, _, rest = row.partition(" ")
                kind, said = _typed(rest)
            else:
                kind, rest = _typed(row)
                name, _, said = rest.partition(" ")
            lines.append("  " + _entry(name or "result", kind, said))
    return lines


def _block(lines: list[str]) -> tuple[str, list[tuple[str, str]]]:
    """What is said, and the tags with their texts."""
    said, tags = [], []
    for line in lines:
        tag = re.match(r"@(\w+) ?(.*)", line)
        choice = re.match(r"\| ?(.*)", line)
        if tag:
            tags.append((tag[1], tag[2]))
        elif choice:
            tags.append(("choice", choice[1]))
        elif tags and tags[-1][0] not in ("class", "alias"):
            tags[-1] = (tags[-1][0], f"{tags[-1][1]} {line}")
        else:
            said.append(line)
    return " ".join(said), tags


def _declared(said: str, tags: list[tuple[str, str]]) -> list[str]:
    """A class with its fields, or an alias with its choices."""
    kind, text = tags[0]
    if kind == "alias":
        name, rest = _typed(text)
        lines = [f".. luatype:: {name}", "", f"   {_escaped(said)}", ""]
        if rest:
            lines += [f"   ``{rest}``", ""]
        for _, choice in tags[1:]:
            value, _, meaning = choice.partition(" # ")
            lines.append(f"   - ``{value}``{': ' + _escaped(meaning) if meaning else ''}")
        return [*lines, ""]
    lines = [f".. luatype:: {text.split(':')[0].strip()}", "", f"   {_escaped(said)}", ""]
    for tag, field in tags[1:]:
        if tag == "field":
            name, _, rest = field.partition(" ")
            lines.append("   " + _entry(name, *_typed(rest)))
    return [*lines, ""]


def page(library: pathlib.Path) -> str:
    """The whole library, in its order."""
    lines = [".. Made from bindings/lua/library/oxtint.lua; do not edit.", "", "Lua", "===", "",
             "What the module and its objects offer, as the annotations for the Lua language server have it;",
             ":doc:`../reference/lua` shows it at work. A type that ends in ``?`` may be nil.", ""]
    held: list[str] = []
    owners = {"oxtint": "oxtint"}
    declared = ""
    for line in [*library.read_text(encoding="utf-8").split("\n"), ""]:
        heading = re.match(r"-- ---- (.*) ----$", line)
        call = re.match(r"function (\w+)([.:])(\w+)\((.*)\) end", line)
        local = re.match(r"local (\w+) = \{\}", line)
        if line.startswith("---"):
            held.append(line[3:].strip())
            continue
        said, tags = _block(held)
        if call:
            name = f"{owners[call[1]]}{call[2]}{call[3]}"
            lines += [f".. luafunction:: {name}({call[4]})", "", f"   {_escaped(said)}", ""]
            lines += ["   " + row for row in _signature_lines(tags)] + [""]
        elif tags and tags[0][0] in ("class", "alias"):
            lines += _declared(said, tags)
            declared = tags[0][1].split(":")[0].strip()
        if local:
            owners[local[1]] = declared
        if heading:
            title = heading[1][0].upper() + heading[1][1:]
            lines += [title, "-" * len(title), ""]
        held = []
    return "\n".join(lines) + "\n"
