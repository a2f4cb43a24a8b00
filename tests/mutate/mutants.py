# SPDX-License-Identifier: GPL-3.0-or-later
"""Small changes to C source, each of which a test should notice.

`candidates` lists every change of one file; `chosen` draws some of all files, always the same ones for
the same source and seed. Adding a line to a file does not change which other lines are drawn, as the
order is that of a hash of what is changed and not of where it stands.
"""
import dataclasses
import hashlib
import math
import pathlib
from collections.abc import Iterator

import tree_sitter
import tree_sitter_c

PARSER = tree_sitter.Parser(tree_sitter.Language(tree_sitter_c.language()))

# Tables of published data: a wrong digit there is for the tests that compare them with their source.
LONG_TABLE = 12

SWAPS = {
    "+": ["-"], "-": ["+"], "*": ["/"], "/": ["*"], "%": ["*"],
    "<": ["<=", ">"], "<=": ["<", ">"], ">": [">=", "<"], ">=": [">", "<"],
    "==": ["!="], "!=": ["=="], "&&": ["||"], "||": ["&&"],
    "&": ["|"], "|": ["&"], "<<": [">>"], ">>": ["<<"],
    "+=": ["-=", "="], "-=": ["+=", "="], "*=": ["/=", "="], "/=": ["*=", "="],
    "|=": ["&=", "="], "&=": ["|="], "++": ["--"], "--": ["++"],
}
CALLS = {
    "fmin": "fmax", "fmax": "fmin", "sin": "cos", "cos": "sin", "floor": "ceil", "ceil": "floor",
    "exp": "expm1", "expm1": "exp", "log": "log1p", "log1p": "log", "isnan": "!isnan",
    "isfinite": "!isfinite", "fabs": "", "sqrt": "", "round": "",
    "gsl_cdf_tdist_P": "gsl_cdf_tdist_Q", "gsl_cdf_tdist_Q": "gsl_cdf_tdist_P",
}


@dataclasses.dataclass(frozen=True)
class Mutant:
    """One change: the bytes from `start` to `end` of `file` are replaced by `text`."""
    file: str
    start: int
    end: int
    text: str
    kind: str
    line: int
    function: str
    before: str  # the lines that change, with the next where they are short; blanks folded
    after: str

    @property
    def name(self) -> str:
        return self.file.rpartition("/")[2]

    @property
    def rank(self) -> str:
        # the name without its folder, so that moving a file does not draw others
        words = f"lib/{self.name}|{self.function}|{self.kind}|{self.before}|{self.after}"
        return hashlib.sha256(words.encode()).hexdigest()

    def apply(self, source: bytes) -> bytes:
        return source[:self.start] + self.text.encode() + source[self.end:]


def _text(node: tree_sitter.Node) -> str:
    return node.text.decode()


def _changed_number(text: str) -> list[str]:
    """Other constants: integers by one, others by 3 % and by a factor of two."""
    bare = text.rstrip("uUlLfF")
    try:
        if "." not in bare and "e" not in bare.lower() or bare.lower().startswith("0x"):
            return [str(int(bare, 0) + 1) + text[len(bare):]]
        value = float(bare)
    except ValueError:
        return []
    if value == 0.0:
        return ["1e-3", "1.0"]
    return [repr(value * 1.03), repr(value * 2.0)]


def _without_operand(node: tree_sitter.Node) -> Iterator[tuple[tree_sitter.Node, str, str]]:
    left, right = node.child_by_field_name("left"), node.child_by_field_name("right")
    yield node, _text(left), "condition dropped"
    yield node, _text(right), "condition dropped"


def _changes(node: tree_sitter.Node) -> Iterator[tuple[tree_sitter.Node, str, str]]:
    kind = node.type
    if kind in ("binary_expression", "assignment_expression", "update_expression"):
        operator = node.child_by_field_name("operator")
        for other in SWAPS.get(_text(operator), []):
            yield operator, other, "operator"
        if kind == "binary_expression" and _text(operator) in ("&&", "||"):
            yield from _without_operand(node)
    elif kind == "unary_expression" and _text(node.child_by_field_name("operator")) in "-!~":
        yield node, f"({_text(node.child_by_field_name('argument'))})", "sign or negation dropped"
    elif kind in ("if_statement", "while_statement", "conditional_expression"):
        condition = node.child_by_field_name("condition")
        yield condition, f"(!({_text(condition)}))", "condition negated"
        if kind != "while_statement":
            yield condition, f"(({_text(condition)}) && 0)", "condition never"
            yield condition, f"(({_text(condition)}) || 1)", "condition always"
    elif kind == "number_literal":
        for other in _changed_number(_text(node)):
            yield node, other, "constant"
    elif kind == "call_expression":
        name = node.child_by_field_name("function")
        if _text(name) in CALLS:
            yield name, CALLS[_text(name)], "function"
    elif kind == "expression_statement" and node.named_child_count == 1:
        # An assignment is replaced by its left side, so that no name goes unused.
        yield node, ";", "statement deleted"
    elif kind in ("break_statement", "continue_statement"):
        yield node, ";", "statement deleted"
    elif kind in ("true", "false"):
        yield node, "false" if kind == "true" else "true", "constant"


def _long_table(node: tree_sitter.Node) -> bool:
    return node.type == "initializer_list" and node.named_child_count > LONG_TABLE


def _function_name(node: tree_sitter.Node) -> str:
    while node.type != "identifier":
        inner = node.child_by_field_name("declarator")
        if inner is None:
            return ""
        node = inner
    return _text(node)


def _walk(node: tree_sitter.Node, function: str) -> Iterator[tuple[tree_sitter.Node, str]]:
    if node.type.startswith("preproc_def") or node.type in ("preproc_call", "preproc_include"):
        return
    if node.type == "function_definition":
        function = _function_name(node.child_by_field_name("declarator"))
    yield node, function
    children = node.named_children
    if _long_table(node):
        children = children[:2]
    for child in children:
        yield from _walk(child, function)


def candidates(root: pathlib.Path, path: pathlib.Path) -> list[Mutant]:
    """Every change of one file."""
    source = path.read_bytes()
    file = str(path.relative_to(root))
    found = {}
    for node, function in _walk(PARSER.parse(source).root_node, ""):
        for place, text, kind in _changes(node):
            start, end = place.start_byte, place.end_byte
            head = source.rfind(b"\n", 0, start) + 1
            tail = source.find(b"\n", end)
            if len(source[head:tail].split()) < 4:  # "if (!status)" alone says too little
                tail = source.find(b"\n", tail + 1)
            before = " ".join(source[head:tail].decode().split())
            after = " ".join((source[head:start].decode() + text + source[end:tail].decode()).split())
            line = source.count(b"\n", 0, start) + 1
            found[start, end, text] = Mutant(file, start, end, text, kind, line, function, before, after)
    return list(found.values())


def chosen(root: pathlib.Path, count: int, seed: int, files: list[str]) -> list[Mutant]:
    """About `count` mutants of all files of lib/, or of those named. Each file has a share by the
    square root of its changes, so that small files are not left out."""
    everything = [candidates(root, path) for path in sorted((root / "lib").glob("*/*.c"))
                  if not files or path.name in files or str(path.relative_to(root)) in files]
    everything = [mutants for mutants in everything if mutants]
    total = sum(math.sqrt(len(mutants)) for mutants in everything)
    drawn = []
    for mutants in everything:
        share = round(count * math.sqrt(len(mutants)) / total)
        salted = sorted(mutants, key=lambda one: hashlib.sha256(f"{seed}|{one.rank}".encode()).digest())
        drawn += salted[:max(share, 2)]
    return sorted(drawn, key=lambda one: (one.file, one.start, one.text))
