"""The package as its source says it is: modules, what they import, what each name uses, and what reaches it."""

import ast
import io
import re
import tokenize
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

Name = tuple[str, str]  # a module, and a name at its top level; "" for what runs when it is imported


@dataclass(frozen=True, kw_only=True)
class Module:
    """One file, by its dotted name, with its tree, which is read when somebody asks for it."""

    name: str
    path: Path
    known: frozenset[str]

    @cached_property
    def tree(self) -> ast.Module:
        """What stands in it."""
        return ast.parse(self.path.read_text(encoding="utf-8"))

    @cached_property
    def local(self) -> Mapping[str, Name]:
        """What a local name means: a module, or a name of a module."""
        return _local_names(self.tree, self.known)


def dotted(path: Path, *, package: Path) -> str:
    """The dotted name of a file of the package."""
    parts = [package.name, *path.relative_to(package).with_suffix("").parts]
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def read(files: Mapping[str, Path]) -> dict[str, Module]:
    """The modules of some files, by dotted name."""
    return {name: Module(name=name, path=path, known=frozenset(files)) for name, path in files.items()}


def _local_names(tree: ast.Module, known: frozenset[str]) -> dict[str, Name]:
    found: dict[str, Name] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                if alias.name in known:
                    found[alias.asname or alias.name.partition(".")[0]] = (alias.name if alias.asname else "", "")
        elif isinstance(node, ast.ImportFrom) and node.module:
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                if whole in known:
                    found[alias.asname or alias.name] = (whole, "")
                elif node.module in known:
                    found[alias.asname or alias.name] = (node.module, alias.name)
    return found


def imports(module: Module, *, known: Mapping[str, Module]) -> set[str]:
    """The modules of the package that a module imports, inside functions too but not for type checkers alone."""
    found = set()
    for node in _running(module.tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names if alias.name in known}
        elif isinstance(node, ast.ImportFrom) and node.module:
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                found |= {whole} if whole in known else {node.module} & set(known)
    return found - {module.name}


def _running(tree: ast.AST) -> Iterator[ast.AST]:
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test):
            continue
        yield node
        yield from _running(node)


def cycles(graph: Mapping[str, set[str]]) -> list[list[str]]:
    """Groups of modules that import one another round about (Tarjan's strongly connected components)."""
    index: dict[str, int] = {}
    low: dict[str, int] = {}
    stack: list[str] = []
    found: list[list[str]] = []

    def visit(node: str) -> None:
        index[node] = low[node] = len(index)
        stack.append(node)
        for other in sorted(graph.get(node, ())):
            if other not in index:
                visit(other)
                low[node] = min(low[node], low[other])
            elif other in stack:
                low[node] = min(low[node], index[other])
        if low[node] == index[node]:
            group = []
            while not group or group[-1] != node:
                group.append(stack.pop())
            if len(group) > 1:
                found.append(sorted(group))

    for node in sorted(graph):
        if node not in index:
            visit(node)
    return found


# -- how long things are ------------------------------------------------------------------------------------------


def lines_of_code(path: Path) -> int:
    """Lines that hold code: without blanks, comments and docstrings."""
    text = path.read_text(encoding="utf-8")
    silent = {tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT, tokenize.ENDMARKER}
    held: set[int] = set()
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type not in silent:
            held |= set(range(token.start[0], token.end[0] + 1))
    for node in ast.walk(ast.parse(text)):
        # A text that stands alone: the docstring of a module, class or function, or of the attribute above it (PEP 257).
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str):
            held -= set(range(node.lineno, (node.end_lineno or node.lineno) + 1))
    return len(held)


def _docstring_lines(node: ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) -> set[int]:
    if not node.body or ast.get_docstring(node, clean=False) is None:
        return set()
    first = node.body[0]
    return set(range(first.lineno, (first.end_lineno or first.lineno) + 1))


def long_functions(module: Module, *, most: int) -> list[str]:
    """Functions that have more lines than that beside their docstring."""
    found = []
    for node in ast.walk(module.tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            lines = (node.end_lineno or node.lineno) - node.lineno + 1 - len(_docstring_lines(node))
            if lines > most:
                found.append(f"{module.name}.{node.name}: {lines} lines")
    return found


def public_names(module: Module) -> list[str]:
    """Functions and classes that a module offers; records among classes are not counted: they have no behaviour."""
    return [
        node.name
        for node in module.tree.body
        if isinstance(node, ast.FunctionDef | ast.ClassDef)
        and not node.name.startswith("_")
        and (isinstance(node, ast.FunctionDef) or any(_behaviour(node)))
    ]


def _behaviour(node: ast.ClassDef) -> Iterator[bool]:
    for part in node.body:
        if isinstance(part, ast.FunctionDef) and not part.name.startswith("_"):
            yield True


# -- what reaches what --------------------------------------------------------------------------------------------


def unreached(modules: Mapping[str, Module], *, roots: set[str]) -> list[str]:
    """Functions, classes and constants at the top level of a module that nothing in the root modules leads to.

    A name leads to all the names that its body speaks of; a module that is reached leads to whatever runs when it is
    imported. Methods belong to their class.
    """
    bodies = {name: _bodies(module) for name, module in modules.items()}
    seen: set[Name] = set()
    waiting: list[Name] = [(name, key) for name in roots if name in modules for key in bodies[name]]
    while waiting:
        module, name = waiting.pop()
        if (module, name) in seen or module not in bodies:
            continue
        seen.add((module, name))
        if name not in bodies[module] and name in modules[module].local:
            waiting.append(modules[module].local[name])  # a name that is only handed on
        nodes = bodies[module].get(name, [])
        if name:
            waiting.append((module, ""))
        for node in nodes:
            waiting.extend(_spoken_of(node, modules[module], bodies))
    return sorted(
        f"{module}.{name}"
        for module, names in bodies.items()
        for name in names
        if name and (module, name) not in seen and not name.startswith("__")
    )


def _bodies(module: Module) -> dict[str, list[ast.AST]]:
    found: dict[str, list[ast.AST]] = {"": []}
    for node in module.tree.body:
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            found.setdefault(node.name, []).append(node)
            if not isinstance(node, ast.ClassDef):
                found[""].extend(decorator for decorator in node.decorator_list if _registers(decorator))
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            names = [part.id for target in targets for part in ast.walk(target) if isinstance(part, ast.Name)]
            for name in names:
                found.setdefault(name, []).append(node)
        elif not isinstance(node, ast.Import | ast.ImportFrom):
            found[""].append(node)
    return found


def _registers(decorator: ast.AST) -> bool:
    """Whether a decorator is more than a note: it may hold names that it needs."""
    return isinstance(decorator, ast.Call)


def _spoken_of(node: ast.AST, module: Module, bodies: Mapping[str, Mapping[str, list[ast.AST]]]) -> Iterator[Name]:
    own = bodies[module.name]
    for part in ast.walk(node):
        if isinstance(part, ast.Name):
            if part.id in module.local:
                yield module.local[part.id]
            elif part.id in own:
                yield module.name, part.id
        elif isinstance(part, ast.Attribute):
            yield from _attribute(part, module)
        elif isinstance(part, ast.ImportFrom) and part.module in bodies:
            yield from ((part.module, alias.name) for alias in part.names)


def _attribute(part: ast.Attribute, module: Module) -> Iterator[Name]:
    chain = [part.attr]
    inner: ast.AST = part.value
    while isinstance(inner, ast.Attribute):
        chain.append(inner.attr)
        inner = inner.value
    if not isinstance(inner, ast.Name):
        return
    known, name = module.local.get(inner.id, ("", inner.id if inner.id == "waterplan" else ""))
    if known and not name:
        yield known, chain[-1]
    elif name == "waterplan":
        whole = [name, *reversed(chain)]
        yield ".".join(whole[:-1]), whole[-1]


@cache
def _words_of(text: str) -> frozenset[str]:
    return frozenset(part for part in text.replace(".", " ").split() if part.isidentifier())


def unused_methods(modules: Mapping[str, Module], *, texts: str = "") -> list[str]:
    """Public methods and properties whose name nothing speaks: no attribute of the package, no word of its templates."""
    spoken: set[str] = set(re.findall(r"[A-Za-z_]\w*", texts))
    for module in modules.values():
        for node in ast.walk(module.tree):
            if isinstance(node, ast.Attribute):
                spoken.add(node.attr)
            elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                spoken |= _words_of(node.value) if len(node.value) < 80 else set()
    found = []
    for module in modules.values():
        for kind in ast.walk(module.tree):
            if isinstance(kind, ast.ClassDef):
                found += [
                    f"{module.name}.{kind.name}.{part.name}"
                    for part in kind.body
                    if isinstance(part, ast.FunctionDef)
                    and not part.name.startswith("_")
                    and part.name not in spoken
                    and not any(
                        "validator" in ast.dump(mark) or "override" in ast.dump(mark) for mark in part.decorator_list
                    )
                ]
    return sorted(found)
