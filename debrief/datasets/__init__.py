"""Datasets of marks: many events measured in partitions, on one machine or on many.

An event belongs to a place on a ring, by the checksum of its name; a partition is a stretch of that ring, and
what is written stands in the order of the ring. So neither the number of partitions nor that of workers nor
how the marks were laid out in files shows in the result.
"""
