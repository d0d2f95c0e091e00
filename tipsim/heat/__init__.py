"""Where motion becomes heat, and where the heat goes."""
