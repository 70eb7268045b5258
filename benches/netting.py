"""Measures one level of netting with numpy and with scipy: netting.py LINES PARTS prints for each its
name, milliseconds (best of 5 runs) and the pieces that all parts lack. Called by the bench of the
same name."""

import sys
import time

import numpy
import scipy.sparse

count, parts = int(sys.argv[1]), int(sys.argv[2])
at = numpy.arange(count, dtype=numpy.uint64)
part = ((at * 2654435761 % 4294967296) % parts).astype(numpy.int64)
quantity = (1 + at % 4).astype(numpy.float64)
supply = 20000 + 10 * numpy.arange(parts, dtype=numpy.int64)



def by_numpy():
    return numpy.bincount(part, weights=quantity, minlength=parts).astype(numpy.int64)


def by_scipy():
    lines = (numpy.zeros(count, dtype=numpy.int64), part)
    wanted = scipy.sparse.coo_array((quantity, lines), shape=(1, parts))
    return wanted.tocsr().toarray()[0].astype(numpy.int64)


for name, add_up in [("numpy", by_numpy), ("scipy", by_scipy)]:
    best = float("inf")
    for _ in range(5):
        start = time.perf_counter()
        lacking = int(numpy.maximum(add_up() - supply, 0).sum())
        best = min(best, 1000 * (time.perf_counter() - start))
    print(name, best, lacking)
