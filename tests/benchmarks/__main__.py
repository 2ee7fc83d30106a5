"""Run all benchmarks and print their ratios:  python -m tests.benchmarks"""

from . import bench_cluster, bench_plant, bench_recalc, bench_startup, bench_sweep

for benchmark in (bench_startup, bench_recalc, bench_plant, bench_sweep, bench_cluster):
    for text in benchmark.report():
        print(text, flush=True)
