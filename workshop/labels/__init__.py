"""Labels: bikes by their stock number, parts and shelves by their code, on sheets or one by one."""
