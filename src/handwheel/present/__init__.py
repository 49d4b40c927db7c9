"""Values to text: rounding, units and wording, for every screen, line and sheet."""
