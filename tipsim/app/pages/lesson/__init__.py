"""A lesson's page: its steps, questions and experiments."""
