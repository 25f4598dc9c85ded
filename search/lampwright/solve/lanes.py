"""Eight numbers at a time: explicit vectors as numba types, and what may be done with them.

Which loop a compiler turns into vector code is its own affair, and table look-ups it turns
into none; so the vectors here are types, and every operation is written for LLVM as one on
eight lanes. LLVM makes of it what the processor has: one AVX-512 register, two of AVX2, four
of SSE2 or of a 64-bit ARM. Operators mean the same in every lane; with a plain number on one
side it stands in every lane.

These types live inside kernels only. With `NUMBA_DISABLE_JIT=1` nothing here can be called.
"""

import operator
from collections.abc import Callable
from typing import Any

from llvmlite import ir
from numba import types
from numba.core import cgutils
from numba.core.typing.templates import AbstractTemplate, infer_global, signature
from numba.extending import intrinsic, lower_builtin, lower_cast, models, register_model

LANES = 8
"""Numbers in a vector."""

Vector = Any
"""A vector inside a kernel; numba tells its kinds apart, mypy does not."""

Pointer = Any
"""Where a flat array begins, inside a kernel."""

_FUSED = ("contract",)  # a product and a sum may become one operation
_DOUBLE, _WORD, _BIT, _INDEX = ir.DoubleType(), ir.IntType(64), ir.IntType(1), ir.IntType(32)


class LaneType(types.Type):
    """A vector of LANES numbers."""

    def __init__(self, name: str, element: ir.Type) -> None:
        """Call it so; element: what LLVM calls one lane."""
        super().__init__(name=name)
        self.inside = ir.VectorType(element, LANES)


reals8 = LaneType("reals8", _DOUBLE)
"""Eight float64."""
whole8 = LaneType("whole8", _WORD)
"""Eight int64."""
truth8 = LaneType("truth8", _BIT)
"""Eight yes or no."""


@register_model(LaneType)
class LaneModel(models.PrimitiveModel):
    """Kept as the very vector that LLVM computes with."""

    def __init__(self, manager: object, kind: LaneType) -> None:
        """As numba asks of every model."""
        super().__init__(manager, kind, kind.inside)


Emit = Callable[..., ir.Value]


def _spread(builder: ir.IRBuilder, value: ir.Value, kind: LaneType) -> ir.Value:
    """The same number in every lane."""
    none = ir.Constant(kind.inside, ir.Undefined)
    first = builder.insert_element(none, value, ir.Constant(_INDEX, 0))
    return builder.shuffle_vector(first, none, _places([0] * LANES))


def _places(places: list[int]) -> ir.Constant:
    return ir.Constant(ir.VectorType(_INDEX, len(places)), places)


@lower_cast(types.Float, reals8)
def _spread_real(context, builder, given, _, value):
    return _spread(builder, context.cast(builder, value, given, types.float64), reals8)


@lower_cast(types.Integer, whole8)
def _spread_whole(context, builder, given, _, value):
    return _spread(builder, context.cast(builder, value, given, types.int64), whole8)


def _both(args: tuple[types.Type, ...], of: LaneType, plain: type, gives: LaneType) -> Any:
    """The signature of an operator that takes two vectors of a kind, or one and a plain number; or None."""
    fit = len(args) == 2 and of in args and all(one is of or isinstance(one, plain) for one in args)
    return signature(gives, of, of) if fit else None


@infer_global(operator.add)
@infer_global(operator.sub)
@infer_global(operator.mul)
@infer_global(operator.truediv)
class RealsArithmetic(AbstractTemplate):
    """Reals with reals."""

    def generic(self, args, kws):
        """As numba asks."""
        return _both(args, reals8, types.Float, reals8)


@infer_global(operator.lt)
@infer_global(operator.le)
@infer_global(operator.ge)
@infer_global(operator.gt)
class RealsComparison(AbstractTemplate):
    """Reals beside reals."""

    def generic(self, args, kws):
        """As numba asks."""
        return _both(args, reals8, types.Float, truth8)


@infer_global(operator.add)
@infer_global(operator.sub)
@infer_global(operator.lshift)
@infer_global(operator.rshift)
@infer_global(operator.and_)
class WholeArithmetic(AbstractTemplate):
    """Whole numbers with whole numbers."""

    def generic(self, args, kws):
        """As numba asks."""
        return _both(args, whole8, types.Integer, whole8)


@infer_global(operator.and_)
@infer_global(operator.or_)
class TruthLogic(AbstractTemplate):
    """Yes or no with yes or no."""

    def generic(self, args, kws):
        """As numba asks."""
        return _both(args, truth8, LaneType, truth8)


@lower_builtin(operator.add, reals8, reals8)
def _add(context, builder, sig, args):
    return builder.fadd(*args, flags=_FUSED)


@lower_builtin(operator.sub, reals8, reals8)
def _subtract(context, builder, sig, args):
    return builder.fsub(*args, flags=_FUSED)


@lower_builtin(operator.mul, reals8, reals8)
def _multiply(context, builder, sig, args):
    return builder.fmul(*args, flags=_FUSED)


@lower_builtin(operator.truediv, reals8, reals8)
def _divide(context, builder, sig, args):
    return builder.fdiv(*args, flags=_FUSED)


@lower_builtin(operator.lt, reals8, reals8)
def _less(context, builder, sig, args):
    return builder.fcmp_ordered("<", *args)


@lower_builtin(operator.le, reals8, reals8)
def _at_most(context, builder, sig, args):
    return builder.fcmp_ordered("<=", *args)


@lower_builtin(operator.ge, reals8, reals8)
def _at_least(context, builder, sig, args):
    return builder.fcmp_ordered(">=", *args)


@lower_builtin(operator.gt, reals8, reals8)
def _more(context, builder, sig, args):
    return builder.fcmp_ordered(">", *args)


@lower_builtin(operator.add, whole8, whole8)
def _add_whole(context, builder, sig, args):
    return builder.add(*args)


@lower_builtin(operator.sub, whole8, whole8)
def _subtract_whole(context, builder, sig, args):
    return builder.sub(*args)


@lower_builtin(operator.lshift, whole8, whole8)
def _shift_up(context, builder, sig, args):
    return builder.shl(*args)


@lower_builtin(operator.rshift, whole8, whole8)
def _shift_down(context, builder, sig, args):
    return builder.ashr(*args)


@lower_builtin(operator.and_, whole8, whole8)
def _common_bits(context, builder, sig, args):
    return builder.and_(*args)


@lower_builtin(operator.and_, truth8, truth8)
def _and(context, builder, sig, args):
    return builder.and_(*args)


@lower_builtin(operator.or_, truth8, truth8)
def _or(context, builder, sig, args):
    return builder.or_(*args)


def operation(make: Callable[..., Any]) -> Callable[..., Any]:
    """Let kernels call what `make` tells of: a signature for the types it is given, and how to emit it."""
    kernel_only: Callable[..., Any] = intrinsic(make)
    return kernel_only


def _place(builder, pointer, index, kind):
    """Where LANES numbers begin."""
    return builder.bitcast(builder.gep(pointer, [index]), kind.inside.as_pointer())


@operation
def begin_of(typing, array):
    """A pointer to the first element of a flat array, so that callees count no references to it."""

    def emit(context, builder, sig, args):
        return context.make_array(sig.args[0])(context, builder, args[0]).data

    return types.CPointer(array.dtype)(array), emit


@operation
def load(typing, pointer, index):
    """The vector that begins at `index` beyond a pointer to float64 or int64."""
    kind = reals8 if pointer.dtype == types.float64 else whole8

    def emit(context, builder, sig, args):
        pointer, index = args
        return builder.load(_place(builder, pointer, index, kind), align=8)

    return kind(pointer, types.intp), emit


@operation
def store(typing, pointer, index, value):
    """Write a vector of float64 from `index` beyond a pointer on; a plain number goes to every lane."""

    def emit(context, builder, sig, args):
        pointer, index, value = args
        builder.store(value, _place(builder, pointer, index, reals8), align=8)
        return context.get_dummy_value()

    return types.none(pointer, types.intp, reals8), emit


def _named(name: str, of: LaneType, gives: LaneType, count: int) -> Callable[..., Emit]:
    """Emit a call of one of LLVM's own functions on vectors."""

    def emit(context, builder, sig, args):
        kind = ir.FunctionType(gives.inside, [of.inside] * count)
        return builder.call(cgutils.get_or_insert_function(builder.module, kind, name), args)

    return emit


@operation
def size_of(typing, x):
    """Take |x| in every lane."""
    return reals8(reals8), _named("llvm.fabs.v8f64", reals8, reals8, 1)


@operation
def signed_as(typing, x, sign):
    """Take |x| with the sign of another vector."""
    return reals8(reals8, reals8), _named("llvm.copysign.v8f64", reals8, reals8, 2)


@operation
def choose(typing, truth, x, y):
    """Take x in the lanes that say yes, y in the others."""
    kind = x if isinstance(x, LaneType) else y
    return kind(truth8, kind, kind), lambda context, builder, sig, args: builder.select(*args)


def _lesser(sign: str) -> Callable[..., Any]:
    def typed(typing, x, y):
        kind = x if isinstance(x, LaneType) else y

        def emit(context, builder, sig, args):
            compare = builder.fcmp_ordered if kind is reals8 else builder.icmp_signed
            return builder.select(compare(sign, *args), *args)

        return kind(kind, kind), emit

    return typed


# as a select and not as LLVM's own: of no number and a number, the second is taken
least = operation(_lesser("<"))
most = operation(_lesser(">"))


@operation
def bits_of(typing, x):
    """The 64 bits of every float64, as int64."""
    return whole8(reals8), lambda context, builder, sig, args: builder.bitcast(args[0], whole8.inside)


@operation
def from_bits(typing, x):
    """The float64 that has these 64 bits."""
    return reals8(whole8), lambda context, builder, sig, args: builder.bitcast(args[0], reals8.inside)


@operation
def cut_off(typing, x):
    """Every float64 without its fraction, as int64."""
    return whole8(reals8), lambda context, builder, sig, args: builder.fptosi(args[0], whole8.inside)


@operation
def as_reals(typing, x):
    """Every int64 as float64."""
    return reals8(whole8), lambda context, builder, sig, args: builder.sitofp(args[0], reals8.inside)


@operation
def mask_of(typing, truth):
    """The lanes that say yes, as the bits of an integer."""

    def emit(context, builder, sig, args):
        return builder.zext(builder.bitcast(args[0], ir.IntType(LANES)), _WORD)

    return types.int64(truth8), emit


@operation
def spread(typing, x):
    """One float64 in every lane."""
    return reals8(reals8), lambda context, builder, sig, args: args[0]


@operation
def four_at(typing, pointer, index):
    """Four vectors: for every lane the elements index .. index + 3 beyond a pointer to float64."""
    four = types.UniTuple(reals8, 4)

    def emit(context, builder, sig, args):
        row = ir.VectorType(_DOUBLE, 4).as_pointer()
        rows = []
        for lane in range(LANES):
            place = builder.gep(args[0], [builder.extract_element(args[1], ir.Constant(_INDEX, lane))])
            rows.append(builder.load(builder.bitcast(place, row), align=8))
        columns = []
        for at in range(4):
            pairs = [
                builder.shuffle_vector(rows[lane], rows[lane + 1], _places([at, 4 + at]))
                for lane in range(0, LANES, 2)
            ]
            halves = [
                builder.shuffle_vector(pairs[n], pairs[n + 1], _places([0, 1, 2, 3])) for n in range(0, 4, 2)
            ]
            columns.append(builder.shuffle_vector(*halves, _places(list(range(LANES)))))
        return context.make_tuple(builder, four, columns)

    return four(pointer, whole8), emit
