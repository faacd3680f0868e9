"""What can be changed in a module, so that tests may be asked whether they see it.

The changes themselves are those of mutmut. Its own runner is not used: it changes only the bodies
of undecorated functions, so it would leave out every lambda of an equation, every property, every
cached function and every constant, and a value kept in a cache would hide a change from it.
"""

from dataclasses import asdict, dataclass

import libcst as cst
import libcst.matchers as m
from libcst.metadata import MetadataWrapper, ParentNodeProvider, PositionProvider
from mutmut.mutation.mutators import mutation_operators, operator_string


@dataclass(frozen=True)
class Mutant:
    """One change of a source text: what stands from `begin` to `end` becomes `text`."""

    path: str
    scope: str
    line: int
    last_line: int
    begin: int
    end: int
    text: str
    before: str
    after: str
    loading: bool
    number: int

    @property
    def key(self):
        """Return what names this change for as long as the code around it stays."""
        return (self.path, self.scope, self.before, self.after, self.number)

    def applied(self, source):
        return source[: self.begin] + self.text + source[self.end :]

    def plain(self):
        return asdict(self)


_WORDS = m.SimpleString() | m.ConcatenatedString() | m.FormattedString()
_NO_CALLS = ("len", "isinstance")
_OPERATORS = [(kind, make) for kind, make in mutation_operators if make is not operator_string]


def _says_words(node):
    """Return whether a node is a text for people, or a call that only wraps one."""
    if m.matches(node, _WORDS):
        return True
    return m.matches(node, m.Call(func=m.Name("say"), args=[m.Arg(value=_WORDS), m.ZeroOrMore()]))


def _only_a_guard(before, after):
    """Return whether a change does no more than loosen the `strict` of a zip.

    It stands where both are of one length whatever is typed, so that a slip of the program is seen.
    """
    if not m.matches(before, m.Call(func=m.Name("zip"))):
        return False
    # Nodes are equal only where they are the same.
    old, new = ([arg for arg in call.args if not _is_strict(arg)] for call in (before, after))
    return old == new


def _is_strict(arg):
    return m.matches(arg, m.Arg(keyword=m.Name("strict")))


def _loses_words(before, after):
    """Return whether a change does no more than take away or blank a text."""
    if isinstance(before, cst.Assign | cst.AnnAssign):
        return before.value is not None and _says_words(before.value)
    if not isinstance(before, cst.Call):
        return False
    if len(after.args) < len(before.args):
        gone = [arg for arg in before.args if not any(arg is kept for kept in after.args)]
        return all(_says_words(arg.value) for arg in gone)
    pairs = zip(before.args, after.args, strict=True)
    return all(old is new or _says_words(old.value) for old, new in pairs)


class _Finder(cst.CSTVisitor):
    def __init__(self):
        self.found = []
        self.words = 0

    def visit_Annotation(self, node):
        return False

    def visit_Decorator(self, node):
        return False

    def visit_Import(self, node):
        return False

    def visit_ImportFrom(self, node):
        return False

    def visit_If(self, node):
        return not m.matches(node.test, m.Name("TYPE_CHECKING"))

    def on_visit(self, node):
        if m.matches(node, m.Call(func=m.Name())) and node.func.value in _NO_CALLS:
            return False
        if _is_strict(node):
            return False
        if isinstance(node, cst.SimpleString | cst.ConcatenatedString):
            self.words += 1
            return False
        for kind, make in _OPERATORS:
            if not isinstance(node, kind):
                continue
            for after in make(node):
                if _loses_words(node, after):
                    self.words += 1
                elif not _only_a_guard(node, after):
                    self.found.append((node, after))
        return super().on_visit(node)


def _scope(node, parents):
    """Return the dotted name of the place, and whether it is evaluated while the module loads."""
    names, loading, child = [], True, node
    while (parent := parents.get(child)) is not None:
        if isinstance(parent, cst.FunctionDef):
            names.append(parent.name.value)
            if child is parent.body:
                loading = False
        elif isinstance(parent, cst.Lambda):
            loading = loading and child is not parent.body
        elif isinstance(parent, cst.ClassDef):
            names.append(parent.name.value)
        elif (
            isinstance(parent, cst.Assign)
            and isinstance(parents.get(parents[parent]), cst.Module)
            and m.matches(parent.targets[0].target, m.Name())
        ):
            names.append(parent.targets[0].target.value)
        child = parent
    return ".".join(reversed(names)), loading


def _splice(source, changed):
    """Return (begin, end, text) that turns one text into the other."""
    begin = _alike(source, changed)
    most = min(len(source), len(changed)) - begin
    tail = min(most, _alike(source[::-1], changed[::-1]))
    return begin, len(source) - tail, changed[begin : len(changed) - tail]


def _alike(one, other):
    """Return how many letters two texts share from their begin."""
    least = min(len(one), len(other))
    return next((i for i in range(least) if one[i] != other[i]), least)


def _short(text):
    return " ".join(text.split())


def _shown(before, after):
    """Return two texts on one line each, cut to where they differ when they are long."""
    before, after = _short(before), _short(after)
    if max(len(before), len(after)) <= 100:
        return before, after
    head = _alike(before, after)
    begin = max(0, head - 30)
    most = min(len(before), len(after)) - head
    tail = max(0, min(most, _alike(before[::-1], after[::-1])) - 30)
    return tuple(
        ("… " if begin else "") + text[begin : len(text) - tail] + (" …" if tail else "")
        for text in (before, after)
    )


def _bare(node):
    """Return an expression without the brackets around it, which its place does not count."""
    if getattr(node, "lpar", ()):
        return node.with_changes(lpar=[], rpar=[])
    return node


def mutants_of(path, source):
    """Return the changes of a module, and how many texts were left as they are."""
    module = cst.parse_module(source)
    wrapper = MetadataWrapper(module, unsafe_skip_copy=True)
    finder = _Finder()
    wrapper.visit(finder)
    lengths = [0]
    for line in source.splitlines(keepends=True):
        lengths.append(lengths[-1] + len(line))
    positions = wrapper.resolve(PositionProvider)
    parents = wrapper.resolve(ParentNodeProvider)
    found, counts = [], {}
    for node, after in finder.found:
        before_code, after_code = (module.code_for_node(_bare(n)) for n in (node, after))
        place = positions[node]
        begin, end = (lengths[at.line - 1] + at.column for at in (place.start, place.end))
        if _short(source[begin:end]) == _short(before_code):
            splice = begin, end, after_code
        else:
            splice = _splice(source, module.deep_replace(node, after).code)
        scope, loading = _scope(node, parents)
        shown = _shown(before_code, after_code)
        counts[scope, shown] = counts.get((scope, shown), 0) + 1
        found.append(
            Mutant(
                path,
                scope,
                place.start.line,
                place.end.line,
                *splice,
                *shown,
                loading,
                counts[scope, shown],
            )
        )
    return found, finder.words
