"""Run all benchmarks and print their ratios:  python -m tests.benchmarks [--long]

`--long` adds what takes more than some minutes: a hundred thousand scenarios with all checks, ten million rows.
"""

import sys

from . import (
    bench_cluster,
    bench_kernels,
    bench_memory,
    bench_plant,
    bench_recalc,
    bench_rivals,
    bench_startup,
    bench_sweep,
)

LONG = "--long" in sys.argv

for benchmark in (bench_startup, bench_recalc, bench_plant, bench_sweep, bench_kernels, bench_cluster):
    for text in benchmark.report():
        print(text, flush=True)
for benchmark in (bench_rivals, bench_memory):
    for text in benchmark.report(long=LONG):
        print(text, flush=True)
