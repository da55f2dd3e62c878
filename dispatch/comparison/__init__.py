"""The planner's question: the same days planned with several fleets, and what the difference is worth."""
