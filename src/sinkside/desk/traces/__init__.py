"""The archive of traces: the samples of kept cycles as Parquet files, checked against the house."""
