"""Fits a Weibull distribution to the speeds in a file (float64, little-endian) with SciPy, and prints seconds, shape and scale."""
import sys
import time

import numpy
from scipy.stats import weibull_min

speeds = numpy.fromfile(sys.argv[1], dtype="<f8")
began = time.perf_counter()
shape, _, scale = weibull_min.fit(speeds, floc=0)
print(time.perf_counter() - began, shape, scale)
