"""The tissue page: iris, wound and cutting of both benches, each with its band."""
