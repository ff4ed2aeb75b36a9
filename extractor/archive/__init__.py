"""Many visits at once: a folder of recordings and jobs -> a Parquet data set, on all cores or on many machines."""
