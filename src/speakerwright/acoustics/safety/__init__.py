"""Weight and safety of a cabinet: balance, lifting, hanging. Arithmetic, never an approval."""
