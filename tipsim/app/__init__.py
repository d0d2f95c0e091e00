"""The screens: Panel views and the scripts that draw in the browser."""
