"""Panels as plates that bend: sheets, rectangular fields with braces, and what they radiate.

Thin plates, flat and rectangular, in a baffle. Fields of any other shape, cut-outs inside a field,
curved panels and what joints really hold are out of range.
"""
