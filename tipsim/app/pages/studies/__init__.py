"""The Evidence page: the heat model beside published measurements."""
