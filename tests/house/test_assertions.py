"""Assertions that can fail, and published values compared with a stated tolerance."""

import ast

BY_DEFAULT = {
    # numpy's two add a default rtol and a default atol: both must be stated
    "allclose": ({"rtol", "atol"},),
    "assert_allclose": ({"rtol"},),
    # the standard library's relative tolerance stays on beside an absolute one
    "math.isclose": ({"rel_tol"},),
    "isclose": ({"rtol", "atol"}, {"rel_tol"}),
    "approx": ({"rel"}, {"abs"}),
    "assert_almost_equal": ({"decimal"},),
    "assert_array_almost_equal": ({"decimal"},),
    "assert_approx_equal": ({"significant"},),
    "assertAlmostEqual": ({"places"}, {"delta"}),
}
"""Comparisons with a default tolerance, and the keywords that replace it."""


def is_text(message: ast.expr) -> bool:
    """Whether a message is written as text: a string, one with values in it, or strings joined."""
    match message:
        case ast.Constant(value=value):
            return isinstance(value, str)
        case ast.JoinedStr():
            return True
        case ast.BinOp(left=left, right=right):
            return is_text(left) or is_text(right)
        case ast.Call(func=ast.Attribute(value=value, attr="join" | "format")):
            return is_text(value)
        case ast.Call(func=ast.Name(id="str")):
            return True
    return False


def may_be_text(message: ast.expr) -> bool:
    """Whether a message is text or a plain name, such as `result.output`, that may hold text."""
    return is_text(message) or isinstance(message, ast.Name | ast.Attribute)


def by_default(call: ast.Call) -> bool:
    """Whether a comparison leaves its tolerance to a default."""
    name = ast.unparse(call.func)
    needed = BY_DEFAULT.get(name) or BY_DEFAULT.get(name.rpartition(".")[2])
    given = {keyword.arg or "" for keyword in call.keywords}
    return needed is not None and not any(keywords <= given for keywords in needed)


def test_messages_are_text(trees: dict[str, ast.Module]) -> None:
    wrong = []
    for name, tree in trees.items():
        is_fine = is_text if name.startswith("tests/published/") else may_be_text
        asserts = (node for node in ast.walk(tree) if isinstance(node, ast.Assert) and node.msg)
        wrong += [f"{name}:{node.lineno}" for node in asserts if node.msg and not is_fine(node.msg)]
    assert not wrong, f"a comma where an equals sign was meant?: {wrong}"


def test_no_assertion_on_a_tuple_or_constant(trees: dict[str, ast.Module]) -> None:
    wrong = [
        f"{name}:{node.lineno}"
        for name, tree in trees.items()
        for node in ast.walk(tree)
        if isinstance(node, ast.Assert) and isinstance(node.test, ast.Tuple | ast.Constant | ast.JoinedStr)
    ]
    assert not wrong, f"an assertion that cannot fail: {wrong}"


def test_published_values_have_a_tolerance(trees: dict[str, ast.Module]) -> None:
    published = {name: tree for name, tree in trees.items() if name.startswith("tests/published/")}
    wrong = [
        f"{name}:{node.lineno}: {ast.unparse(node.func)}"
        for name, tree in published.items()
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and by_default(node)
    ]
    assert len(published) > 5, "the tests against published values have gone missing"
    assert not wrong, "\n".join(wrong)


def test_how_a_comparison_is_read() -> None:
    def read(text: str) -> bool:
        call = ast.parse(text, mode="eval").body
        assert isinstance(call, ast.Call)
        return by_default(call)

    assert read("np.allclose(a, b, rtol=1e-3)")
    assert read("pytest.approx(a)")
    assert read("math.isclose(a, b)")
    assert not read("np.allclose(a, b, rtol=0, atol=1e-3)")
    assert not read("pytest.approx(a, rel=1e-3)")
