"""Potential-flow solvers that stand behind the tables of end corrections.

They share nothing with the package: no table, no law, no constant of it.
"""
