# SPDX-License-Identifier: GPL-3.0-or-later
"""Pages of the reference from the comments of include/oxtint/*.h, one per header, for Sphinx's C domain.

The comments have a form of their own (Given, Returned, Status, Source, Notes), which a test of the
headers holds them to. tests/python/test_docs.py sees that no name and no line of a comment is left out.
"""
import dataclasses
import pathlib
import re

# What stands in a header, in its order: (kind, pattern). A comment belongs to what follows it.
_DOC = r"(?P<doc>/\*\*(?:(?!\*/).)*\*/\n)"
_NOTE = r"(?P<note>/\*(?!\*)(?:(?!\*/).)*\*/\n)"
_ITEMS = [
    ("function", _DOC + r"OXT_API (?P<what>[^;]*?\b(?P<name>oxt_\w+)\([^;]*?\));"),
    ("struct", _DOC + r"typedef struct (?P<name>oxt_\w+) \{(?P<body>.*?)\n?\} \w+;"),
    ("enum", _DOC + r"typedef enum (?P<name>oxt_\w+) \{(?P<body>.*?)\} \w+;"),
    ("handle", _DOC + r"typedef struct (?P<name>oxt_\w+) oxt_\w+;"),
    ("callback", _DOC + r"typedef (?P<what>\w+ \(\*(?P<name>oxt_\w+)\)\([^;]*\));"),
    ("macro", rf"(?:{_DOC}|{_NOTE})?"
              r"#define (?P<name>OXT_\w+)(?P<value>(?:\\\n|[^\n])*)"),  # over several lines, too
]
_SECTIONS = ("Given", "Returned", "Status", "Source", "Sources", "Notes")
_ROLES = {"function": "c:func", "struct": "c:struct", "enum": "c:enum", "handle": "c:struct",
          "callback": "c:type", "macro": "c:macro", "enumerator": "c:enumerator"}
# What only the build of the headers needs.
_INTERNAL = re.compile(r"OXT_(API|BEGIN_DECLS|END_DECLS|\w+_LIST|\w+_ENUM)$")


@dataclasses.dataclass
class Item:
    """One public name with what its header says of it."""

    kind: str
    name: str
    text: str  # of the comment, without its stars
    what: str = ""  # the declaration of a function, the value of a macro
    members: list[tuple[str, str]] = dataclasses.field(default_factory=list)  # declaration, comment


def bare(comment: str | None) -> str:
    """The text of a comment, its lines without stars and without a common margin."""
    text = re.sub(r"^\s*/\*+ ?|\s*\*+/\s*$", "", comment or "")
    return "\n".join(re.sub(r"^\s*\* ?", "", line) for line in text.split("\n")).strip()


def _said(text: str) -> str:
    """On one line; a unit that stands apart is followed by a semicolon."""
    return " ".join(re.sub(r"^(\S+) {2,}", r"\1; ", text.strip()).split())


def _listed(text: str, body: str) -> list[tuple[str, str]]:
    """Members of an enum that is made from a list of its header: X(symbol, number, "sentence", ...)."""
    name = re.search(r"OXT_\w+_LIST", body)
    if not name:
        return []
    rows = re.search(rf"#define {name[0]}\(X\)((?:\\\n|[^\n])*)", text)
    assert rows, name[0]
    found = []
    for symbol, number, rest in re.findall(r"X\((OXT_\w+), (-?\d+),((?:[^\"()]|\"[^\"]*\")*)\)", rows[1]):
        # Texts that only white space parts are one; a comma begins the next column.
        columns = ["".join(re.findall(r'"([^"]*)"', column))
                   for column in re.split(r",(?=(?:[^\"]*\"[^\"]*\")*[^\"]*$)", rest.replace("\\\n", ""))]
        found.append((f"{symbol} = {number}", " Source: ".join(columns)))
    return found


def _members(body: str, end: str) -> list[tuple[str, str]]:
    """Declarations of a body, each with the comment behind it, or on lines of its own before it."""
    found: list[tuple[str, str]] = []
    before = ""
    for own, comment, declaration in re.findall(rf"(\n\s*)?(?:(/\*.*?\*/)|([^{end}/]*[^{end}/\s]))",
                                                body.strip() and "\n" + body, re.DOTALL):
        if declaration:
            found.append((" ".join(declaration.split()), before))
            before = ""
        elif own or not found:
            before = _said(bare(comment)) + " "
        else:
            found[-1] = (found[-1][0], found[-1][1] + _said(bare(comment)))
    return found


def _item(kind: str, match: re.Match[str], text: str) -> Item | None:
    groups = match.groupdict()
    comment = bare(groups.get("doc") or groups.get("note"))
    item = Item(kind, groups["name"], comment, " ".join((groups.get("what") or "").split()))
    if kind == "struct":
        item.members = _members(groups["body"], ";")
    elif kind == "enum":
        item.members = _listed(text, groups["body"]) or _members(groups["body"], ",")
    elif kind == "macro":
        if _INTERNAL.match(item.name):
            return None
        item.what = " ".join(groups["value"].replace("\\\n", " ").split())
    return item


def items(header: pathlib.Path) -> list[Item]:
    """What a header declares, in its order."""
    text = header.read_text(encoding="utf-8")
    found = []
    for kind, pattern in _ITEMS:
        for match in re.finditer(f"^{pattern}", text, re.DOTALL | re.MULTILINE):
            if item := _item(kind, match, text):
                found.append((match.end(), item))
    return [item for _, item in sorted(found, key=lambda pair: pair[0])]


def title(header: pathlib.Path) -> tuple[str, str]:
    """What the header is about, in one line, and the rest of its first comment."""
    match = re.search(r"/\*\*(?:(?!\*/).)*@file (?:(?!\*/).)*\*/", header.read_text(encoding="utf-8"),
                      re.DOTALL)
    assert match, header
    first, _, rest = bare(match[0]).partition("\n\n")
    return re.sub(r"^@file \S+: ", "", " ".join(first.split())), rest


class Writer:
    """Writes items as reStructuredText; names that are public become links."""

    def __init__(self, headers: list[pathlib.Path]) -> None:
        self.pages = {header: items(header) for header in headers}
        self.kinds = {item.name: item.kind for page in self.pages.values() for item in page}
        for page in self.pages.values():
            for item in page:
                if item.kind == "enum":
                    self.kinds |= {name.split()[0]: "enumerator" for name, _ in item.members}

    def linked(self, text: str) -> str:
        """Escaped, with links at the names of others."""
        def one(match: re.Match[str]) -> str:
            kind = self.kinds.get(match[0])
            return rf"\ :{_ROLES[kind]}:`{match[0]}`\ " if kind else match[0].replace("_", r"\_")
        parts = re.split(r"`(\w+)`", text)
        parts[::2] = [re.sub(r"\w*_\w*", one, re.sub(r"([\\*|`])", r"\\\1", part))
                      for part in parts[::2]]
        parts[1::2] = [rf"\ ``{part}``\ " for part in parts[1::2]]
        made = "".join(parts)
        # An initial is no number of a list, nor a minus a point of one.
        return "\\" + made if re.match(r"(\w{1,3}|#)[.)] |[-+] ", made) else made

    def prose(self, text: str) -> list[str]:
        """Paragraphs; an indented one, such as a table, stays as it is."""
        lines = []
        for paragraph in re.split(r"\n\n+", text.strip("\n")):
            block = paragraph.split("\n")
            if all(line.startswith("  ") for line in block):
                lines += ["::", "", *("  " + line for line in block), ""]
            elif any(line.startswith("  - ") for line in block):
                head = [line for line in block if not line.startswith("  ")]
                points = re.split(r"^  - ", "\n".join(line for line in block if line.startswith("  ")),
                                  flags=re.MULTILINE)
                lines += [self.linked(" ".join(head)), ""]
                lines += [f"- {self.linked(' '.join(point.split()))}" for point in points if point.strip()]
                lines += [""]
            else:
                lines += [self.linked(" ".join(paragraph.split())), ""]
        return lines

    def section(self, name: str, text: str) -> list[str]:
        """A section of a function: names with what they are, or plain text."""
        lines = [f":{name}:"]
        for entry in re.split(r"\n(?=  \S)", text.strip("\n")):
            words = re.match(r"  (\w+(?:, \w+)*)(?:  +| *\n +)(.*)", entry, re.DOTALL)
            if words and name in ("Given", "Returned"):
                lines += [f"  - **{words[1]}**: {self.linked(_said(words[2]))}"]
            else:
                lines += ["  " + self.linked(" ".join(entry.split()))]
        return lines

    def comment(self, text: str) -> list[str]:
        """The text of a comment and its sections."""
        parts = re.split(rf"^({'|'.join(_SECTIONS)}):[ \n]", text, flags=re.MULTILINE)
        lines = self.prose(parts[0])
        for name, body in zip(parts[1::2], parts[2::2]):
            lines += self.section(name, body)
        return [*lines, ""]

    def item(self, item: Item) -> list[str]:
        """One name with all that is said of it."""
        shown = item.what if item.kind in ("function", "callback") else item.name
        directive = {"handle": "struct", "callback": "type"}.get(item.kind, item.kind)
        lines = self.comment(item.text)
        if item.kind == "macro":
            fresh = re.match(r"\{ ?sizeof\((oxt_\w+)\)", item.what)
            if fresh:
                lines = [f"A fresh {self.linked(fresh[1])}.", "", *lines]
            lines += [f"``{item.what}``", ""]
        made = [f".. c:{directive}:: {shown}", "", *("   " + line for line in lines)]
        member = {"struct": "member", "enum": "enumerator"}.get(item.kind)
        for name, said in item.members:
            made += [f"   .. c:{member}:: {name}", "", f"      {self.linked(said)}", ""]
        return made

    def page(self, header: pathlib.Path) -> str:
        """The page of a header."""
        heading, intro = title(header)
        name = f"oxtint/{header.name}"
        lines = [f".. Made from include/{name}; do not edit.", "", name, "=" * len(name), "",
                 self.linked(heading[0].upper() + heading[1:]), "", *self.comment(intro)]
        for item in self.pages[header]:
            lines += self.item(item)
        return "\n".join(line.rstrip() for line in lines) + "\n"
