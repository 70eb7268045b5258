DROP TABLE bench_moves;
DROP TABLE bench_runs;
