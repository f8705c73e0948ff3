"""Numbers that carry their slope: how much each changes for a unit of what is varied.

A `Dual` goes through the same functions as an array, each of which it answers by the rules of differentiation (forward
mode, one direction of change for each body).  So a rule of geometry is written once, for plain arrays, and gives exact
slopes when it is asked with duals.  Comparisons and tests are answered by the values and give plain arrays; where a
function has a kink the slope is that of the branch which the value takes.  It is no subclass of an array: where numpy would
drop the slope there is a TypeError.

To the type checker a dual is an array of floats, since it stands wherever one may stand: annotations say `Floats` for both.

What is found by trials is found by the values alone, and its slope follows from the equation that it meets (`settled`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Literal, NoReturn, TypeAlias, overload

import numpy as np
import numpy.typing as npt
from numpy.lib.mixins import NDArrayOperatorsMixin

from .arrays import Floats, FloatsLike, Mask

if TYPE_CHECKING:
    _Array: TypeAlias = np.ndarray[Any, np.dtype[np.float64]]
else:
    _Array = NDArrayOperatorsMixin


Operand: TypeAlias = Any  # a dual, an array or a number, as numpy hands it over
Rule: TypeAlias = Callable[..., Floats]  # from the result of a function on the values, and its operands, to the result with its slope


class Dual(_Array):
    """An array of values and one of slopes, of the same shape; without slopes they are zero."""

    __slots__ = ("value", "slope")

    value: Floats
    slope: Floats

    def __init__(self, value: FloatsLike, slope: FloatsLike | None = None) -> None:
        self.value = np.asarray(value, dtype=float)
        shape = self.value.shape
        slopes: Any = np.zeros(shape) if slope is None else slope
        self.slope = slopes if np.shape(slopes) == shape else np.broadcast_to(slopes, shape)

    def __array__(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise TypeError("a dual is no array: its slope would be lost")

    def __repr__(self) -> str:
        return f"Dual({self.value!r}, {self.slope!r})"

    def __array_ufunc__(self, ufunc: np.ufunc, method: str, *inputs: Any, out: tuple[Any, ...] | None = None, **kwargs: Any) -> Any:
        if method == "reduce" and ufunc in _REDUCTIONS:
            return _picked(_REDUCTIONS[ufunc], inputs[0], **kwargs)
        if method != "__call__" or kwargs:
            return NotImplemented
        if ufunc in _TESTS:
            return ufunc(*[plain(operand) for operand in inputs], **({} if out is None else {"out": out}))
        if ufunc not in _RULES:
            return NotImplemented
        result = _RULES[ufunc](ufunc(*[plain(operand) for operand in inputs]), *inputs)
        if out is None:
            return result
        if not isinstance(out[0], Dual):
            raise TypeError("a dual cannot be written into an array: its slope would be lost")
        out[0][...] = result
        return out[0]

    def __array_function__(self, function: Any, types: Iterable[type], args: Iterable[Any], kwargs: Mapping[str, Any]) -> Any:
        if function in _LINEAR:
            return _each(function, args, kwargs)
        if function in _OF_VALUES:
            return function(*(_plainly(value) for value in args), **{name: _plainly(value) for name, value in kwargs.items()})
        rule = _FUNCTIONS.get(function)
        return NotImplemented if rule is None else rule(*args, **kwargs)

    # ------------------------------------------------------------ as an array

    def __getitem__(self, index: Any) -> Dual:
        return Dual(self.value[index], self.slope[index])

    def __setitem__(self, index: Any, value: Any) -> None:
        if not self.slope.flags.writeable:
            self.slope = self.slope.copy()
        self.value[index], self.slope[index] = plain(value), slope_of(value)

    def __len__(self) -> int:
        return len(self.value)

    def __iter__(self) -> Iterator[Any]:
        return (self[k] for k in range(len(self)))

    def __bool__(self) -> bool:
        return bool(self.value)

    @property
    def T(self) -> Dual:
        return Dual(self.value.T, self.slope.T)

    def reshape(self, *shape: Any, **order: Any) -> Dual:
        return Dual(self.value.reshape(*shape, **order), self.slope.reshape(*shape, **order))

    def copy(self, order: Any = "C") -> Dual:
        return Dual(self.value.copy(order), self.slope.copy(order))

    if not TYPE_CHECKING:  # the checker takes these from the array that it holds a dual to be
        shape, ndim, size = (property(lambda self, name=name: getattr(self.value, name)) for name in ("shape", "ndim", "size"))

        def sum(self, axis=None):
            return Dual(self.value.sum(axis=axis), self.slope.sum(axis=axis))

        def min(self, axis=None):
            return _picked(np.argmin, self, axis)

        def max(self, axis=None):
            return _picked(np.argmax, self, axis)


# ------------------------------------------------------------ for code that is asked with either


@overload
def plain(x: Floats) -> Floats: ...


@overload
def plain(x: float) -> float: ...


@overload
def plain(x: FloatsLike) -> FloatsLike: ...


def plain(x: FloatsLike) -> FloatsLike:
    """The values alone."""
    return x.value if isinstance(x, Dual) else x


def first_known(values: Floats) -> float:
    """The value (N,) of the first body for whom it is known; 0 where it is for none."""
    known = plain(values)[np.isfinite(values)]
    return float(known[0]) if len(known) else 0.0


def slope_of(x: FloatsLike) -> FloatsLike:
    return x.slope if isinstance(x, Dual) else 0.0


def floats(x: npt.ArrayLike, order: Literal["C"] | None = None) -> Floats:
    """An array of floats, in the order of memory that is asked for; or the dual that it is."""
    return x if isinstance(x, Dual) else np.asarray(x, dtype=float, order=order)


def each_of(x: FloatsLike, n: int) -> Floats:
    """A figure for each of n bodies (n,): the one that is given for all, or theirs as they are."""
    x = floats(x)
    return x if x.shape == (n,) else np.broadcast_to(x, (n,))


def put(array: Floats, index: Any, values: Floats) -> Floats:
    """The array with these values at an index: written into it, or into a dual in its place."""
    if isinstance(values, Dual) and not isinstance(array, Dual):
        array = Dual(array)
    array[index] = values
    return array


def settled(function: Callable[[Floats], Floats], x: Floats) -> Floats:
    """The root x (an array) of a function, with the slope that keeps the function zero.

    `function` gives a dual where it rests on one; its own slope at x is read by varying x alone.
    """
    still = function(x)
    if not isinstance(still, Dual):
        return x
    grows = slope_of(function(Dual(x, 1.0))) - still.slope
    return at_root(x, still.slope, grows)


def at_root(x: Floats, miss: FloatsLike, grows: Floats) -> Dual:
    """x, found on values alone, with the slope that keeps zero what moves by `miss` while x stands and grows so with x."""
    return Dual(x, np.where(miss == 0.0, 0.0, -miss / grows))


# ------------------------------------------------------------ the rules of differentiation


def _scaled(slope: Floats, by: Floats) -> Floats:
    """A slope times a factor that may be infinite where nothing changes."""
    return np.where(slope == 0.0, 0.0, slope * by)


def _by(derivative: Callable[[Floats, Floats], Floats]) -> Rule:
    """The rule of a function of one argument, from its derivative, a function of the result and the argument."""
    return lambda result, a: Dual(result, _scaled(a.slope, derivative(result, a.value)))


def _branch(takes_first: Callable[[Operand, Operand], Mask]) -> Rule:
    def rule(result: Floats, a: Operand, b: Operand) -> Dual:
        return Dual(result, np.where(takes_first(plain(a), plain(b)), slope_of(a), slope_of(b)))

    return rule


def _power(result: Floats, a: Dual, exponent: Operand) -> Dual:
    if isinstance(exponent, Dual):
        raise TypeError("a power with a sloped exponent")
    return Dual(result, a.slope * exponent * a.value ** (exponent - 1))


def _arctan2(result: Floats, y: Operand, x: Operand) -> Dual:
    u, v = plain(y), plain(x)
    return Dual(result, (v * slope_of(y) - u * slope_of(x)) / (u * u + v * v))


def _copysign(result: Floats, a: Operand, b: Operand) -> Floats:
    if not isinstance(a, Dual):
        return result
    return Dual(result, np.where(np.signbit(a.value) == np.signbit(plain(b)), a.slope, -a.slope))


def _multiplied(result: Floats, a: Operand, b: Operand) -> Dual:
    if not isinstance(b, Dual):
        return Dual(result, a.slope * b)
    return Dual(result, a * b.slope if not isinstance(a, Dual) else a.slope * b.value + a.value * b.slope)


def _divided(result: Floats, a: Operand, b: Operand) -> Dual:
    if not isinstance(b, Dual):
        return Dual(result, a.slope / b)
    return Dual(result, (slope_of(a) - result * b.slope) / b.value)


_RULES: dict[np.ufunc, Rule] = {
    np.add: lambda result, a, b: Dual(result, slope_of(a) + slope_of(b)),
    np.subtract: lambda result, a, b: Dual(result, slope_of(a) - slope_of(b)),
    np.multiply: _multiplied,
    np.true_divide: _divided,
    np.negative: lambda result, a: Dual(result, -a.slope),
    np.positive: lambda result, a: a,
    np.power: _power,
    np.absolute: lambda result, a: Dual(result, np.where(a.value < 0.0, -a.slope, a.slope)),
    np.sqrt: _by(lambda result, a: 0.5 / result),
    np.sin: _by(lambda result, a: np.cos(a)),
    np.cos: _by(lambda result, a: -np.sin(a)),
    np.tan: _by(lambda result, a: 1.0 + result * result),
    np.arcsin: _by(lambda result, a: 1.0 / np.sqrt(1.0 - a * a)),
    np.arccos: _by(lambda result, a: -1.0 / np.sqrt(1.0 - a * a)),
    np.arctan2: _arctan2,
    np.copysign: _copysign,
    np.remainder: lambda result, a, b: Dual(result, slope_of(a) - np.floor(plain(a) / plain(b)) * slope_of(b)),
    np.minimum: _branch(lambda a, b: ~(b < a)),
    np.maximum: _branch(lambda a, b: ~(b > a)),
    np.fmin: _branch(lambda a, b: ~(b < a) & ~np.isnan(a)),
    np.fmax: _branch(lambda a, b: ~(b > a) & ~np.isnan(a)),
}
_TESTS: set[np.ufunc] = {
    np.less,
    np.less_equal,
    np.greater,
    np.greater_equal,
    np.equal,
    np.not_equal,
    np.isnan,
    np.isfinite,
    np.isinf,
    np.sign,
    np.signbit,
    np.floor,
    np.ceil,
    np.rint,
    np.logical_not,
    np.logical_and,
    np.logical_or,
}


def _least_known(values: Floats, axis: int | None) -> Operand:
    return np.argmin(np.where(np.isnan(values), np.inf, values), axis=axis)


def _greatest_known(values: Floats, axis: int | None) -> Operand:
    return np.argmax(np.where(np.isnan(values), -np.inf, values), axis=axis)


_REDUCTIONS: dict[np.ufunc, Callable[..., Operand]] = {
    np.minimum: np.argmin,
    np.maximum: np.argmax,
    np.fmin: _least_known,
    np.fmax: _greatest_known,
}


# ------------------------------------------------------------ numpy's functions


def _plainly(x: Operand) -> Operand:
    return [plain(part) for part in x] if isinstance(x, (list, tuple)) else plain(x)


def _slopes(x: Operand) -> Operand:
    """The slopes of a dual or of a list of arrays; of anything else, which tells how, itself."""
    if isinstance(x, (list, tuple)) and any(isinstance(part, Dual) for part in x):
        return [part.slope if isinstance(part, Dual) else np.zeros(np.shape(part)) for part in x]
    return x.slope if isinstance(x, Dual) else x


def _each(function: Callable[..., Floats], args: Iterable[Any], kwargs: Mapping[str, Any]) -> Dual:
    """A function that only moves entries about or adds them up: the same of the values and of the slopes."""
    first, *others = args
    return Dual(function(_plainly(first), *others, **kwargs), function(_slopes(first), *others, **kwargs))


_LINEAR: set[Callable[..., Any]] = {
    np.stack,
    np.concatenate,
    np.sum,
    np.cumsum,
    np.roll,
    np.repeat,
    np.tile,
    np.diff,
    np.take_along_axis,
    np.broadcast_to,
    np.reshape,
    np.take,
    np.expand_dims,
    np.squeeze,
    np.moveaxis,
    np.transpose,
    np.flip,
    np.mean,
}
_OF_VALUES: set[Callable[..., Any]] = {
    np.argmin,
    np.argmax,
    np.argsort,
    np.shape,
    np.ndim,
    np.size,
    np.all,
    np.any,
    np.flatnonzero,
    np.nonzero,
    np.unique,
    np.zeros_like,
    np.ones_like,
    np.full_like,
    np.allclose,
    np.isclose,
}


def _where(condition: Mask, a: Operand, b: Operand) -> Dual:
    return Dual(np.where(condition, plain(a), plain(b)), np.where(condition, slope_of(a), slope_of(b)))


def _clip(a: Operand, low: Operand = None, high: Operand = None) -> Dual:
    value = plain(a)
    under, over = value < plain(low), value > plain(high)
    slope = np.where(over, slope_of(high), np.where(under, slope_of(low), slope_of(a)))
    return Dual(np.clip(value, plain(low), plain(high)), slope)


def _sort(a: Dual, axis: int = -1, **kwargs: Any) -> Dual:
    order = np.argsort(a.value, axis=axis, kind="stable")
    return Dual(np.take_along_axis(a.value, order, axis), np.take_along_axis(a.slope, order, axis))


def _picked(choose: Callable[..., Operand], a: Dual, axis: int | None = None) -> Dual:
    """The entry along an axis that an argmin or argmax of the values picks."""
    if axis is None:
        return a[np.unravel_index(choose(a.value.ravel(), axis=0), a.shape)]
    place = np.expand_dims(choose(a.value, axis=axis), axis)
    return Dual(*(np.take_along_axis(part, place, axis).squeeze(axis) for part in (a.value, a.slope)))


def _nan_to_num(a: Dual, nan: float = 0.0, **kwargs: Any) -> Dual:
    return Dual(np.nan_to_num(a.value, nan=nan, **kwargs), np.where(np.isfinite(a.value), a.slope, 0.0))


def _nansum(a: Dual, axis: int | None = None) -> Dual:
    return Dual(np.nansum(a.value, axis=axis), np.sum(np.where(np.isnan(a.value), 0.0, a.slope), axis=axis))


def _broadcast_arrays(*arrays: Operand) -> tuple[Floats, ...]:
    shape = np.broadcast_shapes(*(np.shape(array) for array in arrays))
    return tuple(np.broadcast_to(array, shape) for array in arrays)


def _select(conditions: Sequence[Mask], choices: Sequence[Operand], default: Operand = 0.0) -> Operand:
    result = default
    for condition, choice in zip(conditions[::-1], choices[::-1], strict=True):
        result = np.where(condition, choice, result)
    return result


_FUNCTIONS: dict[Callable[..., Any], Callable[..., Any]] = {
    np.where: _where,
    np.clip: _clip,
    np.sort: _sort,
    np.nan_to_num: _nan_to_num,
    np.nansum: _nansum,
    np.broadcast_arrays: _broadcast_arrays,
    np.select: _select,
    np.copy: lambda a: a.copy(),
    np.min: lambda a, axis=None: _picked(np.argmin, a, axis),
    np.max: lambda a, axis=None: _picked(np.argmax, a, axis),
}
