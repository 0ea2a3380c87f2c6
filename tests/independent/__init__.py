"""Printed figures of the demos worked out a second way, from the printed equations and other libraries."""
