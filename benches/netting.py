"""Measures one level of netting with numpy: netting.py LINES PARTS prints milliseconds (best of 5
runs) and the pieces that all parts lack. Called by the bench of the same name."""

import sys
import time

import numpy

count, parts = int(sys.argv[1]), int(sys.argv[2])
at = numpy.arange(count, dtype=numpy.uint64)
part = ((at * 2654435761 % 4294967296) % parts).astype(numpy.int64)
quantity = (1 + at % 4).astype(numpy.float64)
supply = 20000 + 10 * numpy.arange(parts, dtype=numpy.int64)

best = float("inf")
for _ in range(5):
    start = time.perf_counter()
    wanted = numpy.bincount(part, weights=quantity, minlength=parts).astype(numpy.int64)
    lacking = int(numpy.maximum(wanted - supply, 0).sum())
    best = min(best, 1000 * (time.perf_counter() - start))
print(best, lacking)
