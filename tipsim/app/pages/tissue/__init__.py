"""The tissue page: what two needles do to iris, incision and lens."""
