"""The words everything else is said in: stages, findings, errors, evidence, units, blocks."""
