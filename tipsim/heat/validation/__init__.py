"""The heat model compared with published measurements."""
