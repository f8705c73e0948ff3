"""Numbers that carry their slope: how much each changes for a unit of what is varied.

A `Dual` goes through the same functions as an array, each of which it answers by the rules of differentiation (forward
mode, one direction of change for each body).  So a rule of geometry is written once, for plain arrays, and gives exact
slopes when it is asked with duals.  Comparisons and tests are answered by the values and give plain arrays; where a
function has a kink the slope is that of the branch which the value takes.  It is no subclass of an array: where numpy would
drop the slope there is a TypeError.

What is found by trials is found by the values alone, and its slope follows from the equation that it meets (`settled`).
"""

from __future__ import annotations

import numpy as np
from numpy.lib.mixins import NDArrayOperatorsMixin


class Dual(NDArrayOperatorsMixin):
    """An array of values and one of slopes, of the same shape; without slopes they are zero."""

    __slots__ = ("value", "slope")

    def __init__(self, value, slope=None):
        self.value = np.asarray(value, dtype=float)
        if slope is None:
            slope = np.zeros(self.value.shape)
        self.slope = slope if np.shape(slope) == self.value.shape else np.broadcast_to(slope, self.value.shape)

    def __array__(self, *args, **kwargs):
        raise TypeError("a dual is no array: its slope would be lost")

    def __repr__(self):
        return f"Dual({self.value!r}, {self.slope!r})"

    def __array_ufunc__(self, ufunc, method, *inputs, out=None, **kwargs):
        if method == "reduce" and ufunc in _REDUCTIONS:
            return _picked(_REDUCTIONS[ufunc], inputs[0], **kwargs)
        if method != "__call__" or kwargs:
            return NotImplemented
        if ufunc in _TESTS:
            return ufunc(*[plain(one) for one in inputs], **({} if out is None else {"out": out}))
        if ufunc not in _RULES:
            return NotImplemented
        result = _RULES[ufunc](ufunc(*[plain(one) for one in inputs]), *inputs)
        if out is None:
            return result
        if not isinstance(out[0], Dual):
            raise TypeError("a dual cannot be written into an array: its slope would be lost")
        out[0][...] = result
        return out[0]

    def __array_function__(self, function, types, args, kwargs):
        if function in _LINEAR:
            return _each(function, args, kwargs)
        if function in _OF_VALUES:
            return function(*(_plainly(one) for one in args), **{name: _plainly(one) for name, one in kwargs.items()})
        rule = _FUNCTIONS.get(function)
        return NotImplemented if rule is None else rule(*args, **kwargs)

    # ------------------------------------------------------------ as an array

    def __getitem__(self, index):
        return Dual(self.value[index], self.slope[index])

    def __setitem__(self, index, other):
        if not self.slope.flags.writeable:
            self.slope = self.slope.copy()
        self.value[index], self.slope[index] = plain(other), slope_of(other)

    def __len__(self):
        return len(self.value)

    def __iter__(self):
        return (self[k] for k in range(len(self)))

    def __bool__(self):
        return bool(self.value)

    shape, ndim, size = (property(lambda self, name=name: getattr(self.value, name)) for name in ("shape", "ndim", "size"))

    @property
    def T(self):
        return Dual(self.value.T, self.slope.T)

    def reshape(self, *shape):
        return Dual(self.value.reshape(*shape), self.slope.reshape(*shape))

    def copy(self):
        return Dual(self.value.copy(), self.slope.copy())

    def sum(self, axis=None):
        return Dual(self.value.sum(axis=axis), self.slope.sum(axis=axis))

    def min(self, axis=None):
        return _picked(np.argmin, self, axis)

    def max(self, axis=None):
        return _picked(np.argmax, self, axis)


# ------------------------------------------------------------ for code that is asked with either


def plain(x):
    """The values alone."""
    return x.value if isinstance(x, Dual) else x


def slope_of(x):
    return x.slope if isinstance(x, Dual) else 0.0


def floats(x, order=None):
    """An array of floats, in the order of memory that is asked for; or the dual that it is."""
    return x if isinstance(x, Dual) else np.asarray(x, dtype=float, order=order)


def put(array, index, values):
    """The array with these values at an index: written into it, or into a dual in its place."""
    if isinstance(values, Dual) and not isinstance(array, Dual):
        array = Dual(array)
    array[index] = values
    return array


def settled(function, x):
    """The root x (an array) of a function, with the slope that keeps the function zero.

    `function` gives a dual where it rests on one; its own slope at x is read by varying x alone.
    """
    still = function(x)
    if not isinstance(still, Dual):
        return x
    grows = function(Dual(x, 1.0)).slope - still.slope
    return at_root(x, still.slope, grows)


def at_root(x, miss, grows):
    """x, found on values alone, with the slope that keeps zero what moves by `miss` while x stands and grows so with x."""
    return Dual(x, np.where(miss == 0.0, 0.0, -miss / grows))


# ------------------------------------------------------------ the rules of differentiation


def _scaled(slope, by):
    """A slope times a factor that may be infinite where nothing changes."""
    return np.where(slope == 0.0, 0.0, slope * by)


def _by(derivative):
    """The rule of a function of one argument, from its derivative, a function of the result and the argument."""
    return lambda result, a: Dual(result, _scaled(a.slope, derivative(result, a.value)))


def _branch(takes_first):
    def rule(result, a, b):
        return Dual(result, np.where(takes_first(plain(a), plain(b)), slope_of(a), slope_of(b)))

    return rule


def _power(result, a, exponent):
    if isinstance(exponent, Dual):
        raise TypeError("a power with a sloped exponent")
    return Dual(result, a.slope * exponent * a.value ** (exponent - 1))


def _arctan2(result, y, x):
    u, v = plain(y), plain(x)
    return Dual(result, (v * slope_of(y) - u * slope_of(x)) / (u * u + v * v))


def _copysign(result, a, b):
    if not isinstance(a, Dual):
        return result
    return Dual(result, np.where(np.signbit(a.value) == np.signbit(plain(b)), a.slope, -a.slope))


def _multiplied(result, a, b):
    if not isinstance(b, Dual):
        return Dual(result, a.slope * b)
    return Dual(result, a * b.slope if not isinstance(a, Dual) else a.slope * b.value + a.value * b.slope)


def _divided(result, a, b):
    if not isinstance(b, Dual):
        return Dual(result, a.slope / b)
    return Dual(result, (slope_of(a) - result * b.slope) / b.value)


_RULES = {
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
_TESTS = {
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


def _least_known(values, axis):
    return np.argmin(np.where(np.isnan(values), np.inf, values), axis=axis)


_REDUCTIONS = {np.minimum: np.argmin, np.maximum: np.argmax, np.fmin: _least_known}


# ------------------------------------------------------------ numpy's functions


def _plainly(x):
    return [plain(one) for one in x] if isinstance(x, (list, tuple)) else plain(x)


def _slopes(x):
    """The slopes of a dual or of a list of arrays; of anything else, which tells how, itself."""
    if isinstance(x, (list, tuple)) and any(isinstance(one, Dual) for one in x):
        return [one.slope if isinstance(one, Dual) else np.zeros(np.shape(one)) for one in x]
    return x.slope if isinstance(x, Dual) else x


def _each(function, args, kwargs):
    """A function that only moves entries about or adds them up: the same of the values and of the slopes."""
    first, *others = args
    return Dual(function(_plainly(first), *others, **kwargs), function(_slopes(first), *others, **kwargs))


_LINEAR = {
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
_OF_VALUES = {
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


def _where(condition, a, b):
    return Dual(np.where(condition, plain(a), plain(b)), np.where(condition, slope_of(a), slope_of(b)))


def _clip(a, low=None, high=None):
    value = plain(a)
    under, over = value < plain(low), value > plain(high)
    slope = np.where(over, slope_of(high), np.where(under, slope_of(low), slope_of(a)))
    return Dual(np.clip(value, plain(low), plain(high)), slope)


def _sort(a, axis=-1, **kwargs):
    order = np.argsort(a.value, axis=axis, kind="stable")
    return Dual(np.take_along_axis(a.value, order, axis), np.take_along_axis(a.slope, order, axis))


def _picked(choose, a, axis=None):
    """The entry along an axis that an argmin or argmax of the values picks."""
    if axis is None:
        place = np.unravel_index(choose(a.value.ravel(), axis=0), a.shape)
        return a[place]
    place = np.expand_dims(choose(a.value, axis=axis), axis)
    return Dual(*(np.take_along_axis(part, place, axis).squeeze(axis) for part in (a.value, a.slope)))


def _nan_to_num(a, nan=0.0, **kwargs):
    return Dual(np.nan_to_num(a.value, nan=nan, **kwargs), np.where(np.isfinite(a.value), a.slope, 0.0))


def _nansum(a, axis=None):
    return Dual(np.nansum(a.value, axis=axis), np.sum(np.where(np.isnan(a.value), 0.0, a.slope), axis=axis))


def _broadcast_arrays(*arrays):
    shape = np.broadcast_shapes(*(np.shape(one) for one in arrays))
    return tuple(np.broadcast_to(one, shape) for one in arrays)


def _select(conditions, choices, default=0.0):
    result = default
    for condition, choice in zip(conditions[::-1], choices[::-1], strict=True):
        result = np.where(condition, choice, result)
    return result


_FUNCTIONS = {
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
