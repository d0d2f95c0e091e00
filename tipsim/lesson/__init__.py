"""Lessons: reading and checking them, questions, scoring, review schedule, records."""
