"""The page about the model, for teachers: built once from the model, then served as it is."""
