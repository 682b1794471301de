"""The mechanic's job card: tasks in order, parts, times, readings, extra work, release."""
